// How many may be connected at the same time, in all and of one address.
#include <sys/socket.h>

#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/write.hpp>
#include <thread>

#include "daemon/control/tcp_server.hpp"
#include "tests/catch.hpp"
#include "tests/control/support.hpp"

using namespace nestcup;
using namespace nestcup::daemon;
using namespace std::chrono_literals;
namespace asio = boost::asio;
using asio::ip::tcp;

namespace {

/// Sessions on one end of pairs of sockets; the other ends stay here.
class Crowd {
 public:
  explicit Crowd(std::size_t most) : visitors(most) {}
  ~Crowd() { visitors.close_all(); }

  void admit(const std::string& address) {
    int ends[2] = {-1, -1};
    REQUIRE(socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends) == 0);
    const asio::generic::stream_protocol unix_stream(AF_UNIX, 0);
    others.emplace_back(context_, unix_stream, ends[1]);
    visitors.admit(Session::Socket(context_, unix_stream, ends[0]), {router_, {}, nullptr},
                   std::nullopt, std::nullopt, address);
  }
  void leave(std::size_t place) {
    others.at(place).close();
    context_.restart();
    context_.run_for(200ms);
  }

 private:
  asio::io_context context_;
  Router router_;

 public:
  Visitors visitors;
  std::vector<Session::Socket> others;
};

/// A port that is free now.
std::string free_address() {
  asio::io_context context;
  tcp::acceptor acceptor(context, {asio::ip::address_v4::loopback(), 0});
  return "127.0.0.1:" + std::to_string(acceptor.local_endpoint().port());
}

/// What somebody who connects and asks is told; nothing where nobody says anything soon.
std::string status_line(tcp::socket& socket, const std::string& address) {
  boost::system::error_code ignored;
  const std::string request = "GET / HTTP/1.1\r\nHost: " + address + "\r\n\r\n";
  asio::write(socket, asio::buffer(request), ignored);
  std::string answer(12, ' ');
  const std::size_t bytes = asio::read(socket, asio::buffer(answer), ignored);
  return answer.substr(0, bytes);
}

}  // namespace

TEST_CASE("there is room until all places are taken, and again when somebody goes") {
  Crowd crowd(3);
  for (const char* const address : {"10.0.0.1", "10.0.0.1", "10.0.0.2"}) {
    CHECK(crowd.visitors.has_room(address, 2));
    crowd.admit(address);
  }
  CHECK(crowd.visitors.count() == 3);
  CHECK_FALSE(crowd.visitors.has_room("10.0.0.3", 2));
  crowd.leave(2);
  CHECK(crowd.visitors.count() == 2);
  CHECK(crowd.visitors.has_room("10.0.0.3", 2));
}

TEST_CASE("one address gets no more than its share") {
  Crowd crowd(10);
  crowd.admit("10.0.0.1");
  crowd.admit("10.0.0.1");
  CHECK_FALSE(crowd.visitors.has_room("10.0.0.1", 2));
  CHECK(crowd.visitors.has_room("10.0.0.2", 2));
  crowd.leave(0);
  CHECK(crowd.visitors.has_room("10.0.0.1", 2));
  crowd.admit("10.0.0.1");
  CHECK_FALSE(crowd.visitors.has_room("10.0.0.1", 2));
}

TEST_CASE("over TCP, who comes after the last place is told to come again") {
  asio::io_context context;
  Router router;
  router.add({"GET", "/", answer_at_once([](const Request&) { return json_response({}); })});
  TcpServerOptions options;
  options.address = free_address();
  options.connections = 3;
  options.connections_per_peer = 1;  // not for callers of this machine
  options.token_owner = [](std::string_view) { return std::nullopt; };
  const auto server = TcpServer::open(context, router, options);
  REQUIRE(server);
  std::thread thread([&] { context.run(); });
  {
    asio::io_context outside;
    std::vector<tcp::socket> callers;
    for (int i = 0; i < 5; ++i) {
      callers.emplace_back(outside).connect(*endpoint_of(options.address));
      const std::string line = status_line(callers.back(), options.address);
      CHECK(line == (i < 3 ? "HTTP/1.1 200" : "HTTP/1.1 503"));
    }
  }
  asio::post(context, [&] {
    (*server)->stop();
    context.stop();
  });
  thread.join();
}
