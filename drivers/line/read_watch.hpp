// ReadWatch: tells which ports have something to read.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/posix/stream_descriptor.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <cstdint>
#include <functional>
#include <memory>
#include <unordered_map>

namespace nestcup::drivers {

/// One set of epoll(7) for all ports of an io_context, which waits for that set alone. Asio's own
/// way, a wait for each port, looks at the port again after every read; a terminal that is looked
/// at makes the caller wait for what is on its way to it, which costs more than the reading does.
///
/// Tells of each arrival once (edge-triggered): whoever is told reads until a read brings less than
/// was asked for. A hang-up is told like an arrival. To be used from the io_context's thread only.
class ReadWatch : public boost::asio::execution_context::service {
 public:
  static boost::asio::execution_context::id id;

  explicit ReadWatch(boost::asio::io_context& context);
  /// That of an io_context.
  [[nodiscard]] static ReadWatch& of(boost::asio::io_context& context);

  /// Begins to watch an open descriptor; what waits there already is told of, too.
  /// @return a number for remove(), or 0 where the descriptor cannot be watched (errno says why)
  [[nodiscard]] std::uint64_t add(int descriptor, std::function<void()> readable);
  /// To be called before the descriptor is closed. Nothing is told of it afterwards.
  void remove(std::uint64_t number, int descriptor);
  /// Whether what is told of now may have waited for long: this process was stopped, or did not get
  /// to its ports, for more than a second until just now. When it arrived cannot be known.
  [[nodiscard]] bool was_held_up() const;

 private:
  void shutdown() override;
  void wait();
  void tell();
  void beat();

  boost::asio::posix::stream_descriptor set_;
  bool waiting_ = false;
  boost::asio::steady_timer beat_;  // comes late where the process was held up
  std::chrono::steady_clock::time_point beaten_;
  bool beat_late_ = false;
  std::uint64_t last_number_ = 0;
  std::unordered_map<std::uint64_t, std::shared_ptr<std::function<void()>>> ports_;
};

}  // namespace nestcup::drivers
