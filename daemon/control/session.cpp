#include "daemon/control/session.hpp"

#include <algorithm>
#include <boost/asio/post.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/core/string.hpp>
#include <boost/beast/http/error.hpp>
#include <boost/beast/http/write.hpp>
#include <boost/beast/websocket/rfc6455.hpp>
#include <string_view>
#include <utility>

namespace nestcup::daemon {
namespace {

namespace asio = boost::asio;
namespace http = boost::beast::http;
using boost::beast::error_code;

/// What keeps a browser from doing with an answer what it is not for.
constexpr std::pair<const char*, const char*> guarding_fields[] = {
    {"X-Content-Type-Options", "nosniff"},
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src "
     "'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"},
    {"Referrer-Policy", "no-referrer"},
    {"Cross-Origin-Opener-Policy", "same-origin"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
};

constexpr std::size_t piece_bytes = 16 * 1024;  // read at once
constexpr std::string_view go_on = "HTTP/1.1 100 Continue\r\n\r\n";

std::string text_of(boost::beast::string_view text) {
  return {text.data(), text.size()};
}

Response answer_to(error_code code) {
  if (code == http::error::body_limit) {
    return error_response(413, Fault::usage, "the body is too large");
  }
  if (code == http::error::header_limit || code == http::error::buffer_overflow) {
    return error_response(431, Fault::usage, "the header is too large");
  }
  return error_response(400, Fault::usage, "this is not HTTP/1.1 as RFC 9112 has it");
}

}  // namespace

Session::Session(Socket socket, const SessionSettings& settings, std::optional<Peer> peer,
                 std::optional<Response> refusal, OnClosed on_closed)
    : stream_(std::move(socket)),
      buffer_(settings.limits.header_bytes + settings.limits.body_bytes + 4096),
      answer_timer_(stream_.get_executor()),
      router_(settings.router),
      limits_(settings.limits),
      gate_(settings.gate),
      peer_(std::move(peer)),
      refusal_(std::move(refusal)),
      on_closed_(std::move(on_closed)) {}

void Session::start() {
  await_request(limits_.header);
}

void Session::close() {
  if (std::exchange(closed_, true)) return;
  if (const auto stream = std::exchange(taken_over_, nullptr)) stream->close();
  awaiting_answer_ = false;
  answer_timer_.cancel();
  stream_.cancel();
  stream_.close();
  if (auto on_closed = std::exchange(on_closed_, nullptr)) on_closed(this);
}

void Session::await_request(std::chrono::milliseconds patience) {
  waiting_since_ = std::chrono::steady_clock::now();
  // A pipelined request is here already.
  if (buffer_.size() > 0) return begin_request();
  stream_.expires_after(patience);
  read_more(&Session::begin_request);
}

void Session::begin_request() {
  parser_.emplace();
  parser_->header_limit(limits_.header_bytes);
  parser_->body_limit(limits_.body_bytes);
  parser_->eager(false);  // the header first; read_body() goes on
  keep_alive_ = false;
  head_only_ = false;
  stream_.expires_after(limits_.header);
  parse();
}

void Session::read_more(void (Session::*next)()) {
  const std::size_t room = buffer_.max_size() - buffer_.size();
  if (room == 0) return refuse(answer_to(http::error::buffer_overflow));
  stream_.async_read_some(buffer_.prepare(std::min(room, piece_bytes)),
                          [self = shared_from_this(), next](error_code code, std::size_t bytes) {
                            if (code) return self->close();
                            self->buffer_.commit(bytes);
                            (self.get()->*next)();
                          });
}

void Session::parse() {
  error_code code;
  buffer_.consume(parser_->put(buffer_.cdata(), code));
  // Looked at piece by piece, for a header that never ends would fill the memory meanwhile.
  if (field_bytes(parser_->get()) > limits_.header_bytes) code = http::error::header_limit;
  if (code && code != http::error::need_more) return refuse(answer_to(code));
  if (!parser_->eager() && parser_->is_header_done()) return on_header();
  if (parser_->is_done()) return dispatch();
  read_more(&Session::parse);
}

void Session::on_header() {
  waiting_since_.reset();
  request_deadline_ = asio::steady_timer::clock_type::now() + limits_.request;
  version_ = parser_->get().version();
  if (!has_one_host(parser_->get())) return refuse(answer_to(http::error::bad_field));
  if (!has_known_coding(parser_->get())) {
    return refuse(
        error_response(501, Fault::usage, "no transfer coding but chunked is known here"));
  }
  const bool waits = boost::beast::iequals(parser_->get()[http::field::expect], "100-continue");
  if (version_ < 11 || !waits) return read_body();
  stream_.expires_at(request_deadline_);
  asio::async_write(stream_, asio::buffer(go_on),
                    [self = shared_from_this()](error_code failed, std::size_t) {
                      if (failed) return self->close();
                      self->read_body();
                    });
}

void Session::read_body() {
  stream_.expires_at(request_deadline_);
  parser_->eager(true);
  if (parser_->is_done()) return dispatch();
  parse();
}

void Session::dispatch() {
  // What was read when close() came is not served: the router may be gone.
  if (closed_) return;
  HttpRequest message = parser_->release();
  keep_alive_ = message.keep_alive() && !refusal_;
  head_only_ = message.method() == http::verb::head;
  if (refusal_) return write(*refusal_);
  auto admitted = who_asks(message);
  if (const auto* const refused = std::get_if<Response>(&admitted)) {
    keep_alive_ = false;
    return write(*refused);
  }
  auto& caller = std::get<Caller>(admitted);
  if (boost::beast::websocket::is_upgrade(message)) {
    return hand_over(std::move(message), std::move(caller));
  }

  const std::uint64_t number = ++request_number_;
  awaiting_answer_ = true;
  answer_timer_.expires_at(request_deadline_);
  answer_timer_.async_wait([self = shared_from_this(), number](error_code code) {
    if (code) return;
    self->keep_alive_ = false;
    self->answer(number, error_response(503, Fault::try_later,
                                        "the daemon did not get to this request in time"));
  });

  RawRequest raw{text_of(message.method_string()),
                 text_of(message.target()),
                 text_of(message[http::field::content_type]),
                 std::move(message.body()),
                 peer_,
                 std::move(caller),
                 text_of(message[http::field::if_none_match])};
  // The reply may come from any thread and after this connection is gone.
  const Reply reply = [weak = weak_from_this(), executor = stream_.get_executor(),
                       number](Response response) {
    asio::post(executor, [weak, number, response = std::move(response)] {
      if (const auto self = weak.lock()) self->answer(number, response);
    });
  };
  router_.serve(std::move(raw), reply);
}

std::variant<Caller, Response> Session::who_asks(const HttpRequest& message) const {
  if (gate_ == nullptr) {
    return Caller{Role::bench_operator, peer_ ? peer_->login : "somebody", true};
  }
  return gate_->admit(approach_of(message));
}

void Session::hand_over(HttpRequest message, Caller caller) {
  keep_alive_ = false;
  const auto found = router_.stream_at(text_of(message.target()));
  if (const auto* const refused = std::get_if<Response>(&found)) return write(*refused);
  if (const auto fault = handshake_fault(message)) return write(*fault);
  if (buffer_.size() > 0) {
    return write(error_response(400, Fault::usage, "nothing may follow before the answer"));
  }
  stream_.expires_never();
  const auto& handler = *std::get<const StreamHandler*>(found);
  taken_over_ = handler({stream_.release_socket(), std::move(message), std::move(caller),
                         [self = shared_from_this()] { self->close(); }});
}

void Session::refuse(const Response& response) {
  waiting_since_.reset();
  keep_alive_ = false;
  write(response);
}

void Session::answer(std::uint64_t number, const Response& response) {
  if (!awaiting_answer_ || number != request_number_) return;
  awaiting_answer_ = false;
  answer_timer_.cancel();
  write(response);
}

void Session::write(const Response& response) {
  auto& message = response_.emplace(static_cast<http::status>(response.status), version_);
  message.set(http::field::content_type, response.content_type);
  message.set(http::field::cache_control, response.cache_control);
  for (const auto& [name, value] : guarding_fields) message.set(name, value);
  for (const auto& [name, value] : response.fields) message.set(name, value);
  if (!response.allow.empty()) message.set(http::field::allow, response.allow);
  message.content_length(response.body.size());
  message.keep_alive(keep_alive_);
  if (!head_only_) message.body() = response.body;
  stream_.expires_after(limits_.request);
  http::async_write(stream_, *response_, [self = shared_from_this()](error_code code, std::size_t) {
    self->on_written(code);
  });
}

void Session::on_written(ErrorCode code) {
  response_.reset();
  parser_.reset();
  if (code) return close();
  if (keep_alive_) return await_request(limits_.idle);
  say_farewell();
}

void Session::say_farewell() {
  // Closing with bytes unread would reset the connection, and the caller might lose the answer.
  error_code ignored;
  stream_.socket().shutdown(Socket::shutdown_send, ignored);
  farewell_deadline_ = asio::steady_timer::clock_type::now() + limits_.farewell;
  stream_.expires_at(farewell_deadline_);
  drain();
}

void Session::drain() {
  buffer_.clear();
  stream_.async_read_some(buffer_.prepare(4096),
                          [self = shared_from_this()](error_code code, std::size_t) {
                            const auto now = asio::steady_timer::clock_type::now();
                            if (code || now > self->farewell_deadline_) return self->close();
                            self->drain();
                          });
}

}  // namespace nestcup::daemon
