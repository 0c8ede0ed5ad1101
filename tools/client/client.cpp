#include "tools/client/client.hpp"

#include <fmt/format.h>
#include <sys/un.h>

#include <boost/asio/io_context.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/beast/core/basic_stream.hpp>
#include <boost/beast/core/error.hpp>
#include <boost/beast/core/flat_buffer.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/read.hpp>
#include <boost/beast/http/string_body.hpp>
#include <boost/beast/http/write.hpp>
#include <utility>

#include "core/base/fault_name.hpp"

namespace nestcup {
namespace {

namespace asio = boost::asio;
namespace beast = boost::beast;
namespace http = boost::beast::http;
using Protocol = asio::local::stream_protocol;

constexpr std::uint64_t largest_answer = 64U * 1024 * 1024;

Error failed(const std::string& socket_path, beast::error_code code) {
  namespace errc = boost::system::errc;
  if (code == errc::no_such_file_or_directory || code == errc::connection_refused ||
      code == errc::not_a_socket) {
    return {Fault::unavailable, fmt::format("no daemon answers at {}; start it with nestcupd "
                                            "--bench FILE",
                                            socket_path)};
  }
  if (code == errc::permission_denied || code == errc::operation_not_permitted) {
    return {Fault::not_permitted,
            fmt::format("{} may not be used by you; join the group of the socket", socket_path)};
  }
  if (code == beast::error::timeout) {
    return {Fault::try_later,
            fmt::format("the daemon at {} did not answer in time; try again", socket_path)};
  }
  return {Fault::io, fmt::format("talking to the daemon at {}: {}", socket_path, code.message())};
}

http::request<http::string_body> make_request(std::string_view method, std::string_view path,
                                              const std::optional<nlohmann::json>& body) {
  http::request<http::string_body> request;
  request.method_string({method.data(), method.size()});
  request.target({path.data(), path.size()});
  // The socket is the address; HTTP/1.1 still wants the field, which may stand empty.
  request.set(http::field::host, "");
  request.set(http::field::connection, "close");
  if (body) {
    request.set(http::field::content_type, "application/json");
    request.body() = body->dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
  }
  request.prepare_payload();
  return request;
}

/// The request on its way and the answer as far as it has come.
class Exchange {
 public:
  explicit Exchange(http::request<http::string_body> request) : request_(std::move(request)) {
    parser_.body_limit(largest_answer);
  }

  [[nodiscard]] beast::error_code run(const std::string& socket_path,
                                      std::chrono::milliseconds timeout) {
    stream_.expires_after(timeout);
    stream_.async_connect(Protocol::endpoint(socket_path), [this](beast::error_code code) {
      outcome_ = code;
      if (!code) send();
    });
    context_.run();
    return outcome_;
  }

  [[nodiscard]] const http::response<http::string_body>& answer() const { return parser_.get(); }

 private:
  void send() {
    http::async_write(stream_, request_, [this](beast::error_code code, std::size_t) {
      outcome_ = code;
      // A daemon that turns us away may answer and close before it has read everything.
      if (!code || code == asio::error::broken_pipe) receive();
    });
  }

  void receive() {
    http::async_read(stream_, buffer_, parser_,
                     [this](beast::error_code code, std::size_t) { outcome_ = code; });
  }

  asio::io_context context_{1};
  beast::basic_stream<Protocol> stream_{context_};
  beast::flat_buffer buffer_;
  http::request<http::string_body> request_;
  http::response_parser<http::string_body> parser_;
  beast::error_code outcome_;
};

/// The error that the daemon put into its answer, or what the bare status says.
Error told_by_daemon(unsigned status, const nlohmann::json& answer) {
  const auto error = answer.is_object() ? answer.find("error") : answer.end();
  if (answer.is_object() && error != answer.end() && error->is_object()) {
    const auto kind = fault_named(error->value("kind", nlohmann::json()).is_string()
                                      ? error->value("kind", std::string())
                                      : std::string());
    const auto text = error->find("text");
    if (kind && text != error->end() && text->is_string()) return {*kind, *text};
  }
  return {Fault::io, fmt::format("the daemon answered with HTTP status {} and no reason", status)};
}

}  // namespace

std::string percent_encoded(std::string_view text) {
  std::string encoded;
  for (const char c : text) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                       c == '-' || c == '.' || c == '_' || c == '~';
    encoded += plain ? std::string(1, c) : fmt::format("%{:02X}", static_cast<unsigned char>(c));
  }
  return encoded;
}

Result<nlohmann::json> call(const std::string& socket_path, std::string_view method,
                            std::string_view path, const std::optional<nlohmann::json>& body,
                            std::chrono::milliseconds timeout) {
  if (socket_path.empty() || socket_path.size() >= sizeof(sockaddr_un::sun_path)) {
    return Error{Fault::usage, fmt::format("'{}' cannot be the path of a socket: it must have 1 to "
                                           "{} bytes",
                                           socket_path, sizeof(sockaddr_un::sun_path) - 1)};
  }
  Exchange exchange(make_request(method, path, body));
  if (const auto code = exchange.run(socket_path, timeout)) return failed(socket_path, code);

  const auto& answer = exchange.answer();
  auto json = nlohmann::json::parse(answer.body(), nullptr, false);
  if (answer.result_int() >= 300) return told_by_daemon(answer.result_int(), json);
  if (json.is_discarded()) {
    return Error{Fault::io, fmt::format("the daemon at {} answered {} with something that is not "
                                        "JSON",
                                        socket_path, path)};
  }
  return json;
}

}  // namespace nestcup
