// How many may be connected at the same time, in all and of one address.
#include <sys/socket.h>

#include <boost/asio/io_context.hpp>
#include <chrono>
#include <string>
#include <thread>
#include <vector>

#include "daemon/control/door.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::daemon;
using namespace std::chrono_literals;
namespace asio = boost::asio;

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

TEST_CASE("who says nothing makes room for who comes, after a while") {
  Crowd crowd(2);
  crowd.admit("10.0.0.1");
  crowd.admit("10.0.0.2");
  CHECK_FALSE(crowd.visitors.make_room("10.0.0.3", 2));  // they may be about to ask
  std::this_thread::sleep_for(1100ms);
  CHECK(crowd.visitors.make_room("10.0.0.3", 2));
  CHECK(crowd.visitors.count() == 1);
  CHECK(crowd.visitors.has_room("10.0.0.1", 1));  // it was the first that had to go
  crowd.admit("10.0.0.3");
  std::this_thread::sleep_for(1100ms);
  CHECK(crowd.visitors.make_room("10.0.0.3", 1));  // of its own
  CHECK(crowd.visitors.count() == 1);
  CHECK_FALSE(crowd.visitors.has_room("10.0.0.2", 1));
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
