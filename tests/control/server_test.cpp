// Over real sockets, with curl and with plain bytes as callers.
#include <string>
#include <vector>

#include "tests/catch.hpp"
#include "tests/control/support.hpp"

using namespace nestcup;
using namespace nestcup::test;
using namespace std::chrono_literals;
using Catch::Matchers::StartsWith;

namespace {

const std::string host = "Host: x\r\n";

/// Limits short enough to be waited for, long enough for a busy machine.
daemon::UnixServerOptions hasty() {
  daemon::UnixServerOptions options;
  options.limits.header = 1500ms;
  options.limits.request = 2000ms;
  options.limits.idle = 1500ms;
  options.limits.farewell = 100ms;
  return options;
}

std::size_t count(const std::string& text, const std::string& piece) {
  std::size_t found = 0;
  for (auto at = text.find(piece); at != std::string::npos; at = text.find(piece, at + 1)) ++found;
  return found;
}

}  // namespace

TEST_CASE("curl gets answers, errors and nothing that should stay inside") {
  ServerFixture server;
  CHECK_THAT(curl(server.path(), "http://x/v1/status"),
             StartsWith("HTTP/1.1 200 OK") && ContainsSubstring("application/json") &&
                 ContainsSubstring("no-store") && ContainsSubstring("\"well\":true"));
  CHECK_THAT(
      curl(server.path(),
           "-X POST -H 'Content-Type: application/json' "
           "-d '{\"reason\":\"spilt\"}' http://x/v1/runs/7/strike"),
      StartsWith("HTTP/1.1 200") && ContainsSubstring(R"({"body":{"reason":"spilt"},"id":"7"})"));
  CHECK_THAT(curl(server.path(), "http://x/v1/late"), ContainsSubstring("{\"late\":true}"));
  CHECK_THAT(curl(server.path(), "http://x/v1/busy"),
             StartsWith("HTTP/1.1 409") && ContainsSubstring("\"kind\":\"try-later\""));
  CHECK_THAT(curl(server.path(), "http://x/v1/throws"),
             StartsWith("HTTP/1.1 500") && !ContainsSubstring("secret"));
  REQUIRE(server.reports().size() == 1);
  CHECK_THAT(server.reports().front(), ContainsSubstring("the inner secret"));
  CHECK_THAT(curl(server.path(), "-d 'reason=spilt' http://x/v1/runs/7/strike"),
             StartsWith("HTTP/1.1 415"));
  CHECK_THAT(curl(server.path(), "-X DELETE http://x/v1/status"),
             StartsWith("HTTP/1.1 405") && ContainsSubstring("Allow: GET, HEAD"));
  CHECK_THAT(curl(server.path(), "--head http://x/v1/status"),
             StartsWith("HTTP/1.1 200") && ContainsSubstring("Content-Length: ") &&
                 !ContainsSubstring("well"));
  CHECK_THAT(curl(server.path(), "--path-as-is http://x/v1/../etc/passwd"),
             StartsWith("HTTP/1.1 400"));
  CHECK_THAT(curl(server.path(), "--http1.0 http://x/v1/status"),
             ContainsSubstring("\"well\":true"));
  CHECK(curl(server.path(), "http://x/v1/big").size() > 8'000'000);
  CHECK(server.settles_at(0));
}

TEST_CASE("bodies at the limit are taken, bigger ones are answered with 413") {
  ServerFixture server;
  const auto post = [&](std::size_t bytes, const std::string& extra) {
    RawCaller caller(server.path());
    const std::string body = R"({"a":")" + std::string(bytes - 8, 'x') + R"("})";
    caller.send("POST /v1/runs/7/strike HTTP/1.1\r\nContent-Type: application/json\r\n" + host +
                extra + "Content-Length: " + std::to_string(body.size()) +
                "\r\nConnection: close\r\n\r\n");
    caller.send(body);
    return caller.read_all(10s);
  };
  CHECK_THAT(post(64 * 1024, ""), StartsWith("HTTP/1.1 200"));
  CHECK_THAT(post(64 * 1024 + 1, ""), StartsWith("HTTP/1.1 413") && ContainsSubstring("\"usage\""));
  CHECK_THAT(post(1'000'000, ""), StartsWith("HTTP/1.1 413"));
  CHECK_THAT(post(100, "Expect: 100-continue\r\n"),
             StartsWith("HTTP/1.1 100 Continue\r\n\r\nHTTP/1.1 200"));
  CHECK(server.settles_at(0));
}

TEST_CASE("malformed requests get an answer with a reason and the connection ends") {
  ServerFixture server;
  struct Row {
    std::string bytes;
    std::string status;
  };
  std::string many_lines;
  for (int i = 0; i < 2000; ++i) many_lines += "a: b\r\n";
  const std::string post = "POST /v1/runs/7/strike HTTP/1.1\r\nContent-Type: application/json\r\n";
  const std::vector<Row> rows{
      {"nonsense\r\n\r\n", "400"},
      {std::string("\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", 11), "400"},
      {"GET /v1/status HTTP/1.1\r\n\r\n", "400"},
      {"GET /v1/status HTTP/1.1\r\n" + host + host + "\r\n", "400"},
      {"GET /v1/status HTTP/9.9\r\n" + host + "\r\n", "400"},
      {"GET  /v1/status HTTP/1.1\r\n" + host + "\r\n", "400"},
      {"GET /v1/status HTTP/1.1\r\nno colon\r\n\r\n", "400"},
      {"GET /v1/status HTTP/1.1\r\n" + host + "X: a\rb\r\n\r\n", "400"},
      {"GET /v1/status HTTP/1.1\r\n" + host + "Content-Length: x\r\n\r\n", "400"},
      {"GET /v1/status HTTP/1.1\r\n" + host + "Content-Length: -1\r\n\r\n", "400"},
      {post + host + "Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}", "400"},
      {post + host + "Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n{}", "400"},
      {post + host + "Transfer-Encoding: chunked\r\n\r\nZZ\r\n{}\r\n0\r\n\r\n", "400"},
      {"GET /" + std::string(9000, 'a') + " HTTP/1.1\r\n" + host + "\r\n", "431"},
      {"GET /v1/status HTTP/1.1\r\n" + host + "X: " + std::string(200'000, 'a'), "431"},
      {"GET /v1/status HTTP/1.1\r\n" + host + many_lines + "\r\n", "431"},
      {"GET /v1/status HTTP/1.1\r\n" + host + many_lines, "431"},  // it never ends
      {post + host + "Transfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n0\r\n" + many_lines + "\r\n",
       "431"},
      {post + host + "Transfer-Encoding: chunked\r\n\r\n2;" + std::string(200'000, 'a'), "431"},
  };
  for (const Row& row : rows) {
    INFO(row.bytes.substr(0, 120));
    RawCaller caller(server.path());
    caller.send(row.bytes);
    const std::string answer = caller.read_all(10s);
    CHECK_THAT(answer, StartsWith("HTTP/1.1 " + row.status) &&
                           ContainsSubstring("\"kind\":\"usage\"") &&
                           ContainsSubstring("Connection: close"));
  }
  CHECK(server.settles_at(0));
}

TEST_CASE("pipelined requests are answered one by one, in order") {
  ServerFixture server;
  RawCaller caller(server.path());
  std::string requests;
  for (int i = 0; i < 50; ++i) {
    requests += "GET /v1/runs/r" + std::to_string(i) + " HTTP/1.1\r\n" + host + "\r\n";
  }
  requests += "GET /v1/late HTTP/1.1\r\n" + host + "\r\n";
  requests += "GET /v1/status HTTP/1.1\r\n" + host + "Connection: close\r\n\r\n";
  REQUIRE(caller.send(requests));
  const std::string answers = caller.read_all(10s);
  CHECK(count(answers, "HTTP/1.1 200 OK") == 52);
  std::size_t last = 0;
  for (int i = 0; i < 50; ++i) {
    const auto at = answers.find("\"id\":\"r" + std::to_string(i) + "\"");
    CHECK(at != std::string::npos);
    CHECK(at > last);
    last = at;
  }
  CHECK(count(answers, "\"late\":true") == 1);
  CHECK(count(answers, "twice") == 0);
  CHECK(answers.find("\"late\":true") < answers.find("\"well\":true"));
}

TEST_CASE("callers who are slow or silent are let go") {
  ServerFixture server(hasty());
  RawCaller silent(server.path());
  RawCaller slow_header(server.path());
  RawCaller slow_body(server.path());
  RawCaller kept(server.path());
  slow_header.send("GET /v1/sta");
  slow_body.send("POST /v1/runs/7/strike HTTP/1.1\r\nContent-Type: application/json\r\n" + host +
                 "Content-Length: 10\r\n\r\n{");
  kept.send("GET /v1/status HTTP/1.1\r\n" + host + "\r\n");
  CHECK_THAT(kept.read_some(10s), StartsWith("HTTP/1.1 200"));
  CHECK_FALSE(kept.closed_within(100ms));
  CHECK(server.open_connections() >= 1);
  CHECK(silent.closed_within(10s));
  CHECK(slow_header.closed_within(10s));
  CHECK(slow_body.closed_within(10s));
  CHECK(kept.closed_within(10s));
  CHECK(server.settles_at(0));
}

TEST_CASE("a drip of bytes does not keep a connection past its deadline") {
  ServerFixture server(hasty());
  RawCaller caller(server.path());
  int sent = 0;
  while (sent < 200 && caller.send(sent == 0 ? "G" : "E")) {
    ++sent;
    std::this_thread::sleep_for(30ms);
  }
  CHECK(sent < 150);
}

TEST_CASE("a handler that never answers is answered for") {
  ServerFixture server(hasty());
  RawCaller caller(server.path());
  caller.send("GET /v1/never HTTP/1.1\r\n" + host + "\r\n");
  CHECK_THAT(caller.read_all(10s),
             StartsWith("HTTP/1.1 503") && ContainsSubstring("\"kind\":\"try-later\""));
  CHECK(server.settles_at(0));
}

TEST_CASE("callers who leave before the answer leave nothing behind") {
  ServerFixture server;
  for (int i = 0; i < 20; ++i) {
    const std::string path = i % 2 == 0 ? "/v1/late" : "/v1/big";
    RawCaller caller(server.path());
    caller.send("GET " + path + " HTTP/1.1\r\n" + host + "\r\n");
  }
  CHECK(server.settles_at(0));
  CHECK_THAT(curl(server.path(), "http://x/v1/status"), StartsWith("HTTP/1.1 200"));
}

TEST_CASE("a hundred idle callers do not shut the others out for long") {
  daemon::UnixServerOptions options;
  options.limits.header = 4s;
  ServerFixture server(options);
  std::vector<std::unique_ptr<RawCaller>> idle;
  for (int i = 0; i < 100; ++i) idle.push_back(std::make_unique<RawCaller>(server.path()));
  std::size_t turned_away = 0;
  for (const auto& caller : idle) {
    if (caller->read_all(10s).rfind("HTTP/1.1 503", 0) == 0) ++turned_away;
  }
  CHECK(turned_away == 36);
  CHECK(server.settles_at(0));
  CHECK_THAT(curl(server.path(), "http://x/v1/status"), StartsWith("HTTP/1.1 200"));
}

TEST_CASE("stopping closes every connection at once and takes the socket away") {
  ServerFixture server;
  RawCaller idle(server.path());
  RawCaller half(server.path());
  RawCaller waiting(server.path());
  half.send("GET /v1/st");
  waiting.send("GET /v1/never HTTP/1.1\r\n" + host + "\r\n");
  REQUIRE(server.settles_at(3));
  const auto begin = std::chrono::steady_clock::now();
  server.stop();
  CHECK(idle.closed_within(3s));
  CHECK(half.closed_within(3s));
  CHECK(waiting.closed_within(3s));
  CHECK(std::chrono::steady_clock::now() - begin < 3s);
  CHECK(server.open_connections() == 0);
  CHECK_THROWS(RawCaller(server.path()));
  server.stop();
}
