// The gate and the limits over real TCP connections.
#include "daemon/control/tcp_server.hpp"

#include <boost/asio/connect.hpp>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/post.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/write.hpp>
#include <thread>

#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::daemon;
using boost::asio::ip::tcp;
using Catch::Matchers::StartsWith;

namespace {

const std::string handshake = "Connection: Upgrade\r\nUpgrade: websocket\r\n";

/// A port that is free now.
std::string free_address() {
  boost::asio::io_context context;
  const tcp::acceptor acceptor(context, {boost::asio::ip::address_v4::loopback(), 0});
  return "127.0.0.1:" + std::to_string(acceptor.local_endpoint().port());
}

TcpServerOptions few_at_once(std::size_t connections) {
  TcpServerOptions options;
  options.address = free_address();
  options.connections = connections;
  options.connections_per_peer = 1;  // not for callers of this machine
  options.token_owner = [](std::string_view token) -> std::optional<Caller> {
    if (token == "looks") return Caller{Role::viewer, "wall", false};
    return std::nullopt;
  };
  return options;
}

/// A server on a thread of its own; "/" says {}, "/v1/status" who asked, "/v1/stream" is none yet.
class TcpRig {
 public:
  explicit TcpRig(TcpServerOptions options) : address_(options.address) {
    router_.add({"GET", "/", answer_at_once([](const Request&) { return json_response({}); })});
    router_.add({"GET", "/v1/status", answer_at_once([](const Request& request) {
                   return json_response({{"caller", request.caller.name}});
                 })});
    router_.add_stream("/v1/stream", [](StreamStart start) -> std::shared_ptr<StreamPeer> {
      start.on_end();
      return nullptr;
    });
    auto opened = TcpServer::open(context_, router_, std::move(options));
    REQUIRE(opened);
    server_ = std::move(*opened);
    thread_ = std::thread([this] { context_.run(); });
  }
  TcpRig(const TcpRig&) = delete;
  TcpRig& operator=(const TcpRig&) = delete;
  ~TcpRig() {
    boost::asio::post(context_, [this] {
      server_->stop();
      context_.stop();
    });
    thread_.join();
  }

  [[nodiscard]] tcp::socket call() {
    tcp::socket socket(outside_);
    socket.connect(*endpoint_of(address_));
    return socket;
  }
  /// Asks with these lines of header; the connection stays open.
  void ask(tcp::socket& socket, const std::string& target, const std::string& lines) const {
    boost::system::error_code ignored;
    const std::string request =
        "GET " + target + " HTTP/1.1\r\nHost: " + address_ + "\r\n" + lines + "\r\n";
    boost::asio::write(socket, boost::asio::buffer(request), ignored);
  }
  /// The whole answer to a request that is the last on its connection.
  [[nodiscard]] std::string answer(const std::string& target, const std::string& lines) {
    auto socket = call();
    ask(socket, target,
        lines + (lines.find("Upgrade") != std::string::npos ? "" : "Connection: close\r\n"));
    std::string text;
    boost::system::error_code ignored;
    boost::asio::read(socket, boost::asio::dynamic_buffer(text), ignored);
    return text;
  }

 private:
  std::string address_;
  boost::asio::io_context context_{1};
  boost::asio::io_context outside_;
  Router router_;
  std::unique_ptr<TcpServer> server_;
  std::thread thread_;
};

std::string status_line(tcp::socket& socket) {
  boost::system::error_code ignored;
  std::string line(12, ' ');
  line.resize(boost::asio::read(socket, boost::asio::buffer(line), ignored));
  return line;
}

}  // namespace

TEST_CASE("over TCP, who comes after the last place is told to come again") {
  TcpRig rig(few_at_once(3));
  std::vector<tcp::socket> callers;
  for (int i = 0; i < 5; ++i) {
    callers.push_back(rig.call());
    rig.ask(callers.back(), "/", "");
    CHECK(status_line(callers.back()) == (i < 3 ? "HTTP/1.1 200" : "HTTP/1.1 503"));
  }
}

TEST_CASE("no spelling of a path leads past the gate") {
  auto options = few_at_once(8);
  options.names = {"bench-4.lab.example"};  // so that a token is needed
  TcpRig rig(options);
  const std::string token = "Authorization: Bearer looks\r\n";
  CHECK_THAT(rig.answer("/", ""), StartsWith("HTTP/1.1 200"));
  for (const char* const path : {"/v1/status", "/%761/status", "/v1/%73tatus", "/%76%31/status",
                                 "/v%31/status?a=b", "/%761/login/x"}) {
    INFO(path);
    CHECK_THAT(rig.answer(path, ""), StartsWith("HTTP/1.1 401"));
  }
  CHECK_THAT(rig.answer("/%761/status", token), ContainsSubstring(R"({"caller":"wall"})"));
  CHECK_THAT(rig.answer("/v%31/stream", handshake), StartsWith("HTTP/1.1 401"));
  for (const char* const path : {"/v1%2fstatus", "//v1/status", "/./v1/status", "/x/../v1/status",
                                 "http://127.0.0.1/v1/status", "*", "/%00v1/status"}) {
    INFO(path);
    CHECK_THAT(rig.answer(path, ""), StartsWith("HTTP/1.1 400"));
  }
  CHECK_THAT(rig.answer("/", "Sec-Fetch-Site: cross-site\r\n"), StartsWith("HTTP/1.1 200"));
  CHECK_THAT(rig.answer("/%2e", "Sec-Fetch-Site: cross-site\r\n"), StartsWith("HTTP/1.1 403"));
}

TEST_CASE("a bad opening handshake of a WebSocket is told what is wrong with it") {
  TcpRig rig(few_at_once(8));
  const std::string key = "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n";  // RFC 6455, 1.3
  const std::string version = "Sec-WebSocket-Version: 13\r\n";
  for (const std::string& lines :
       {version, "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ=\r\n" + version, key + key + version,
        "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZ!==\r\n" + version,
        "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQdGhl\r\n" + version}) {
    INFO(lines);
    CHECK_THAT(rig.answer("/v1/stream", handshake + lines),
               StartsWith("HTTP/1.1 400") && ContainsSubstring("Sec-WebSocket-Key must be"));
  }
  for (const std::string& lines :
       {key, key + "Sec-WebSocket-Version: 8\r\n", key + "Sec-WebSocket-Version: 13, 8\r\n"}) {
    INFO(lines);
    CHECK_THAT(rig.answer("/v1/stream", handshake + lines),
               StartsWith("HTTP/1.1 426") && ContainsSubstring("Sec-WebSocket-Version: 13\r\n") &&
                   ContainsSubstring("\"kind\":\"usage\""));
  }
  CHECK_THAT(rig.answer("/v1/status", handshake + key + version), StartsWith("HTTP/1.1 404"));
}
