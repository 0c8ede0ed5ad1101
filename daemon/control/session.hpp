// One connection: HTTP/1.1 requests in, answers out, one after the other.
#pragma once

#include <boost/asio/generic/stream_protocol.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/beast/core/basic_stream.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http/message.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/string_body.hpp>
#include <chrono>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>

#include "daemon/control/gate.hpp"
#include "daemon/control/http_rules.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// What one caller may take of the daemon's time and memory.
struct SessionLimits {
  std::uint32_t header_bytes = 8 * 1024;
  std::uint64_t body_bytes = 64 * 1024;
  std::chrono::milliseconds header{5'000};    ///< a request's header, from its first byte
  std::chrono::milliseconds request{15'000};  ///< a request's body and its answer, from there on
  std::chrono::milliseconds idle{30'000};     ///< between two requests
  std::chrono::milliseconds farewell{1'000};  ///< reading on after the last answer
};

/// What the sessions of a server have in common; outlives them.
struct SessionSettings {
  const Router& router;
  SessionLimits limits;
  const Gate* gate = nullptr;  ///< null where the kernel vouches for the peer
};

/// Lives as long as something is outstanding on its connection. All on the io_context's thread;
/// only the Reply that a handler gets may be called from elsewhere.
class Session : public std::enable_shared_from_this<Session> {
 public:
  using Socket = boost::asio::generic::stream_protocol::socket;
  using OnClosed = std::function<void(Session*)>;

  /// @param refusal  where given, every request gets this answer and the connection ends
  Session(Socket socket, const SessionSettings& settings, std::optional<Peer> peer,
          std::optional<Response> refusal, OnClosed on_closed);

  void start();

  /// Ends the connection at once, whatever is outstanding.
  void close();

  using Instant = std::chrono::steady_clock::time_point;
  /// Since when a request is awaited whose header is not here yet; nothing while there is one.
  [[nodiscard]] std::optional<Instant> waiting_since() const { return waiting_since_; }

 private:
  using ErrorCode = boost::beast::error_code;
  using Body = boost::beast::http::string_body;

  void await_request(std::chrono::milliseconds patience);
  void begin_request();
  /// Waits for more bytes and goes on with `next`; closes where none come.
  void read_more(void (Session::*next)());
  void parse();
  void on_header();
  void read_body();
  void dispatch();
  [[nodiscard]] std::variant<Caller, Response> who_asks(const HttpRequest& message) const;
  void hand_over(HttpRequest message, Caller caller);
  void refuse(const Response& response);
  void answer(std::uint64_t number, const Response& response);
  void write(const Response& response);
  void on_written(ErrorCode code);
  void say_farewell();
  void drain();

  boost::beast::basic_stream<boost::asio::generic::stream_protocol> stream_;
  boost::beast::flat_buffer buffer_;
  boost::asio::steady_timer answer_timer_;
  boost::asio::steady_timer::time_point request_deadline_;
  boost::asio::steady_timer::time_point farewell_deadline_;
  const Router& router_;
  const SessionLimits limits_;
  const Gate* gate_;
  const std::optional<Peer> peer_;
  const std::optional<Response> refusal_;
  OnClosed on_closed_;

  std::optional<boost::beast::http::request_parser<Body>> parser_;
  std::optional<boost::beast::http::response<Body>> response_;
  std::optional<Instant> waiting_since_;
  std::uint64_t request_number_ = 0;        ///< of the request whose answer is awaited
  std::shared_ptr<StreamPeer> taken_over_;  ///< by whom the connection goes on
  bool awaiting_answer_ = false;
  bool closed_ = false;
  bool keep_alive_ = false;
  bool head_only_ = false;
  unsigned version_ = 11;
};

}  // namespace nestcup::daemon
