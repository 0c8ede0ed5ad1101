// What goes on at the bench, told to everybody who watches.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <functional>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string_view>
#include <vector>

#include "daemon/control/stream.hpp"
#include "daemon/live/stream_text.hpp"
#include "daemon/live/watcher.hpp"

namespace nestcup::daemon {

/// All on the io_context's thread. Readings go out together, at the latest a few hundredths of a
/// second after the first of them, as one text for all who keep up.
class StreamHub {
 public:
  /// What GET /v1/status answers to this caller.
  using Status = std::function<nlohmann::ordered_json(const Caller&)>;

  /// Whether somebody who watches may go on.
  using MayStay = std::function<bool(const Caller&)>;

  StreamHub(boost::asio::io_context& context, std::size_t probes, Status status, MayStay may_stay);
  StreamHub(const StreamHub&) = delete;
  StreamHub& operator=(const StreamHub&) = delete;
  ~StreamHub();

  /// Takes over the connection of somebody who asked for the stream.
  [[nodiscard]] std::shared_ptr<StreamPeer> join(StreamStart start);

  void reading(std::size_t probe, TimeUs time_us, double temperature_degC);
  /// @param detail  JSON, as the store keeps it
  void event(TimeUs time_us, std::string_view kind, std::string_view detail);
  /// Something in the status is another now.
  void changed();

  [[nodiscard]] std::size_t watchers() const { return watchers_.size(); }

 private:
  struct Seen {
    TimeUs time_us = 0;
    double temperature_degC = 0.0;
  };
  using Watchers = std::map<Watcher*, std::pair<std::shared_ptr<Watcher>, Caller>>;

  void flush();
  void flush_soon();
  void tick();
  void send_status();
  void welcome(Watcher& watcher, const Caller& caller);
  /// Calls it for each; any of them may go meanwhile.
  void each(const std::function<void(Watcher&, const Caller&)>& work);
  [[nodiscard]] StreamText newest() const;

  Status status_;
  MayStay may_stay_;
  std::vector<ProbeNewest> pending_;         ///< by probe; since the last flush
  std::vector<std::optional<Seen>> newest_;  ///< by probe
  Watchers watchers_;
  boost::asio::steady_timer flush_timer_;
  boost::asio::steady_timer status_timer_;
  bool flushing_ = false;  ///< the timer runs
  bool changed_ = false;
  std::shared_ptr<int> alive_ = std::make_shared<int>();
};

}  // namespace nestcup::daemon
