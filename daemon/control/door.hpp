// What servers of all kinds of sockets have in common: taking connections, as many as may be, and
// ending them all at once.
#pragma once

#include <boost/asio/buffer.hpp>
#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "daemon/control/session.hpp"

namespace nestcup::daemon {

/// The connections of a server. All on the io_context's thread.
class Visitors {
 public:
  explicit Visitors(std::size_t most) : most_(most) {}

  /// @param address  whose it is; empty where that is not counted
  [[nodiscard]] bool has_room(const std::string& address, std::size_t most_per_address) const;
  /// The same, if need be by ending the connection that has waited longest for a request, and long
  /// enough that its caller has none to send: nobody shuts others out by saying nothing.
  [[nodiscard]] bool make_room(const std::string& address, std::size_t most_per_address);
  void admit(Session::Socket socket, const SessionSettings& settings, std::optional<Peer> peer,
             std::optional<Response> refusal, const std::string& address);
  void close_all();
  [[nodiscard]] std::size_t count() const { return sessions_.size(); }

 private:
  struct Visitor {
    std::shared_ptr<Session> session;
    std::string address;
  };

  std::size_t most_;
  std::map<Session*, Visitor> sessions_;
  std::map<std::string, std::size_t> by_address_;
};

/// "503, come again": what somebody is told for whom there is no room.
[[nodiscard]] std::string no_room_text();

/// A fresh socket's buffer takes these few bytes; who cannot be told is just closed.
template <class Socket>
void turn_away(Socket& socket) {
  boost::beast::error_code ignored;
  socket.non_blocking(true, ignored);
  socket.write_some(boost::asio::buffer(no_room_text()), ignored);
}

/// Takes connections of one listening socket and hands them on.
template <class Protocol>
class Door {
 public:
  using Socket = typename Protocol::socket;

  /// @param descriptor  listens already; it is closed with the door
  Door(boost::asio::io_context& context, const Protocol& protocol, int descriptor,
       std::function<void(Socket)> admit, std::function<void(std::string_view)> report)
      : acceptor_(context, protocol, descriptor),
        pause_(context),
        admit_(std::move(admit)),
        report_(std::move(report)) {
    accept();
  }

  void close() {
    running_.reset();
    boost::beast::error_code ignored;
    acceptor_.close(ignored);
    pause_.cancel();
  }

 private:
  using ErrorCode = boost::beast::error_code;

  // Long enough not to spin where the system has no descriptor left, short enough to go unnoticed.
  static constexpr std::chrono::milliseconds pause_after_failure{100};

  void accept() {
    // A connection may be on its way here when the door is closed and goes.
    acceptor_.async_accept(
        [this, running = std::weak_ptr<int>(running_)](ErrorCode code, Socket socket) {
          if (running.expired()) return;
          if (code) return wait(code);
          admit_(std::move(socket));
          accept();
        });
  }

  void wait(ErrorCode code) {
    // The next failure may be a moment away: it is told once a minute.
    const auto now = std::chrono::steady_clock::now();
    if (report_ && (!told_at_ || now - *told_at_ > std::chrono::minutes(1))) {
      report_("no connection taken: " + code.message());
      told_at_ = now;
    }
    pause_.expires_after(pause_after_failure);
    pause_.async_wait([this, running = std::weak_ptr<int>(running_)](ErrorCode) {
      if (!running.expired()) accept();
    });
  }

  typename Protocol::acceptor acceptor_;
  boost::asio::steady_timer pause_;
  std::function<void(Socket)> admit_;
  std::function<void(std::string_view)> report_;
  std::optional<std::chrono::steady_clock::time_point> told_at_;
  std::shared_ptr<int> running_ = std::make_shared<int>();  ///< gone once closed
};

}  // namespace nestcup::daemon
