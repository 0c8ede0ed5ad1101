#include "tools/client/client.hpp"

#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <array>
#include <fstream>
#include <string>
#include <thread>

#include "tests/catch.hpp"
#include "tests/control/support.hpp"

using namespace nestcup;
using namespace nestcup::test;
using namespace std::chrono_literals;

TEST_CASE("the client gets what the daemon answers, at once or late") {
  ServerFixture server;
  const auto status = call(server.path(), "GET", "/v1/status");
  REQUIRE(status.ok());
  CHECK(status->at("well") == true);
  CHECK(status->at("login").is_string());
  CHECK(call(server.path(), "GET", "/v1/late").value() == nlohmann::json({{"late", true}}));
  const std::string id = "a b+c&d=?%";
  const auto path = "/v1/runs/" + percent_encoded(id) + "?note=" + percent_encoded(id);
  const auto run = call(server.path(), "GET", path);
  REQUIRE(run.ok());
  CHECK(run->at("id") == id);
  CHECK(run->at("query").at("note") == id);
  const nlohmann::json reason{{"reason", "lid forgotten"}};
  const auto struck = call(server.path(), "POST", "/v1/runs/7/strike", reason);
  REQUIRE(struck.ok());
  CHECK(struck->at("body") == reason);
  CHECK(call(server.path(), "GET", "/v1/big").value().at("big").get<std::string>().size() ==
        8'000'000);
}

TEST_CASE("the client hands on the daemon's own error") {
  ServerFixture server;
  const auto busy = call(server.path(), "GET", "/v1/busy");
  REQUIRE_FALSE(busy.ok());
  CHECK(busy.error().kind == Fault::try_later);
  CHECK(busy.error().text == "a run is going on");
  CHECK(call(server.path(), "GET", "/v1/stauts").error().kind == Fault::no_input);
  CHECK(call(server.path(), "GET", "/v1/throws").error().kind == Fault::io);
  const nlohmann::json huge{{"reason", std::string(100'000, 'x')}};
  const auto refused = call(server.path(), "POST", "/v1/runs/7/strike", huge);
  REQUIRE_FALSE(refused.ok());
  CHECK_THAT(refused.error().text, ContainsSubstring("too large"));
}

TEST_CASE("with no daemon the client says what to do") {
  const TemporaryFolder folder;
  const auto missing = call(folder.path("none.sock"), "GET", "/v1/status");
  REQUIRE_FALSE(missing.ok());
  CHECK(missing.error().kind == Fault::unavailable);
  CHECK(missing.error().text == "no daemon answers at " + folder.path("none.sock") +
                                    "; start it with nestcupd --bench FILE");
  std::ofstream(folder.path("file")) << "no socket";
  CHECK(call(folder.path("file"), "GET", "/v1/status").error().kind == Fault::unavailable);
  CHECK(call(std::string(200, 'a'), "GET", "/").error().kind == Fault::usage);
  CHECK(call("", "GET", "/").error().kind == Fault::usage);
}

TEST_CASE("the client does not wait for ever and believes no nonsense") {
  const TemporaryFolder folder;
  const std::string path = folder.path("odd.sock");
  auto file = daemon::SocketFile::open(path);
  REQUIRE(file.ok());
  const auto begin = std::chrono::steady_clock::now();
  const auto silent = call(path, "GET", "/v1/status", std::nullopt, 200ms);
  REQUIRE_FALSE(silent.ok());
  CHECK(silent.error().kind == Fault::try_later);
  CHECK(std::chrono::steady_clock::now() - begin < 5s);

  const ServerFixture server;
  CHECK(call(server.path(), "GET", "/v1/text").error().kind == Fault::io);
}

TEST_CASE("a daemon that dies in its answer is an error, not half an answer") {
  const TemporaryFolder folder;
  const std::string path = folder.path("dying.sock");
  auto file = daemon::SocketFile::open(path);
  REQUIRE(file.ok());
  std::thread dying([&] {
    pollfd waiting{file->descriptor(), POLLIN, 0};
    poll(&waiting, 1, 5000);
    const int caller = accept(file->descriptor(), nullptr, nullptr);
    const std::string half = "HTTP/1.1 200 OK\r\nContent-Length: 100\r\n\r\n{\"well\":true}";
    (void)!write(caller, half.data(), half.size());
    shutdown(caller, SHUT_WR);
    std::array<char, 1024> rest{};
    while (read(caller, rest.data(), rest.size()) > 0) continue;
    close(caller);
  });
  const auto answer = call(path, "GET", "/v1/status");
  dying.join();
  REQUIRE_FALSE(answer.ok());
  CHECK(answer.error().kind == Fault::io);
}

TEST_CASE("a client that is turned away at the door hears why") {
  daemon::UnixServerOptions options;
  options.connections = 1;
  ServerFixture server(options);
  const RawCaller first(server.path());
  REQUIRE(server.settles_at(1));
  const auto refused = call(server.path(), "GET", "/v1/status");
  REQUIRE_FALSE(refused.ok());
  CHECK(refused.error().kind == Fault::try_later);
  CHECK_THAT(refused.error().text, ContainsSubstring("too many connections"));
}
