#include "daemon/control/gate.hpp"

#include "daemon/control/tcp_server.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::daemon;

namespace {

std::optional<Caller> owner_of(std::string_view token) {
  if (token == "looks") return Caller{Role::viewer, "wall", false};
  if (token == "works") return Caller{Role::bench_operator, "tablet", false};
  return std::nullopt;
}

Gate gate_at(const std::string& address, const std::vector<std::string>& names = {}) {
  const auto endpoint = endpoint_of(address);
  REQUIRE(endpoint);
  return {gate_settings(*endpoint, names), owner_of};
}

Approach looks_at(std::string_view path, std::string_view host) {
  Approach approach;
  approach.method = "GET";
  approach.path = path;
  approach.hosts = {host};
  return approach;
}

/// 200 where somebody is let in.
unsigned status(const Gate& gate, const Approach& approach) {
  const auto admitted = gate.admit(approach);
  const auto* const refused = std::get_if<Response>(&admitted);
  return refused != nullptr ? refused->status : 200;
}

struct Named {
  const char* host;
  const char* origin;  // empty: none was sent
  unsigned status;
};

unsigned status_of(const Gate& gate, const Named& named) {
  Approach approach = looks_at("/v1/status", named.host);
  if (*named.origin != '\0') approach.origin = named.origin;
  approach.authorization = "Bearer looks";
  return status(gate, approach);
}

}  // namespace

TEST_CASE("the gate knows the bench's own names, and no page of strangers") {
  const Gate gate = gate_at("127.0.0.1:8734", {"bench-4.lab.example"});
  const std::vector<Named> table{
      {"127.0.0.1:8734", "", 200},
      {"localhost:8734", "", 200},
      {"LocalHost:8734", "", 200},
      {"localhost.:8734", "", 200},
      {"[::1]:8734", "", 200},
      {"bench-4.lab.example", "", 200},
      {"Bench-4.Lab.Example.", "", 200},
      {"bench-4.lab.example:8734", "", 200},
      {"127.0.0.1", "", 421},
      {"127.0.0.1:8735", "", 421},
      {"localhost", "", 421},
      {"localhost:80", "", 421},
      {"127.0.0.2:8734", "", 421},
      {"10.0.0.7:8734", "", 421},
      {"evil.example:8734", "", 421},
      {"127.0.0.1.evil.example:8734", "", 421},
      {"localhost.evil.example:8734", "", 421},
      {"evil.example", "http://evil.example", 421},
      {"", "", 421},
      {":8734", "", 421},
      {"127.0.0.1:8734@evil.example", "", 421},
      {"127.0.0.1:8734", "http://127.0.0.1:8734", 200},
      {"127.0.0.1:8734", "http://localhost:8734", 200},
      {"127.0.0.1:8734", "http://LOCALHOST:8734", 200},
      {"bench-4.lab.example", "https://bench-4.lab.example", 200},
      {"127.0.0.1:8734", "http://127.0.0.1", 403},
      {"127.0.0.1:8734", "http://127.0.0.1:3000", 403},
      {"127.0.0.1:8734", "http://evil.example", 403},
      {"127.0.0.1:8734", "http://evil.example:8734", 403},
      {"127.0.0.1:8734", "https://bench-4.lab.example.evil.example", 403},
      {"127.0.0.1:8734", "null", 403},
      {"127.0.0.1:8734", "file://", 403},
      {"127.0.0.1:8734", "file://127.0.0.1:8734", 403},
      {"127.0.0.1:8734", "ftp://127.0.0.1:8734", 403},
      {"127.0.0.1:8734", "127.0.0.1:8734", 403},
      {"127.0.0.1:8734", " http://127.0.0.1:8734", 403},
      {"127.0.0.1:8734", "http://127.0.0.1:8734/", 403},
      {"127.0.0.1:8734", "http://127.0.0.1:8734.evil.example", 403},
  };
  for (const Named& named : table) {
    INFO(named.host << " from " << named.origin);
    CHECK(status_of(gate, named) == named.status);
  }
}

TEST_CASE("a bench that listens everywhere goes by numeric addresses, each for itself") {
  const Gate gate = gate_at("0.0.0.0:8734");
  const std::vector<Named> table{
      {"192.168.1.7:8734", "", 200},
      {"[fe80::1]:8734", "", 200},
      {"192.168.1.7:8734", "http://192.168.1.7:8734", 200},
      {"192.168.1.7:8734", "http://192.168.1.8:8734", 403},
      {"192.168.1.7:8734", "http://evil.example:8734", 403},
      {"192.168.1.7:80", "", 421},
      {"192.168.1.7", "", 421},
      {"evil.example:8734", "", 421},
      {"192.168.1.7.evil.example:8734", "", 421},
  };
  for (const Named& named : table) {
    INFO(named.host << " from " << named.origin);
    CHECK(status_of(gate, named) == named.status);
  }
}

TEST_CASE("no Host, or two of them, is no request") {
  const Gate gate = gate_at("127.0.0.1:8734");
  Approach approach = looks_at("/", "127.0.0.1:8734");
  approach.hosts = {};
  CHECK(status(gate, approach) == 400);
  approach.hosts = {"127.0.0.1:8734", "127.0.0.1:8734"};
  CHECK(status(gate, approach) == 400);
}

TEST_CASE("links of other sites lead to the page and nowhere else") {
  const Gate gate = gate_at("127.0.0.1:8734");
  Approach approach = looks_at("/", "127.0.0.1:8734");
  approach.fetch_site = "cross-site";
  CHECK(status(gate, approach) == 200);
  approach.path = "/v1/status";
  CHECK(status(gate, approach) == 403);
  approach.fetch_site = "same-origin";
  CHECK(status(gate, approach) == 200);
}

TEST_CASE("on this machine everybody looks, and operators change") {
  const Gate gate = gate_at("127.0.0.1:8734");
  Approach approach = looks_at("/v1/status", "127.0.0.1:8734");
  CHECK(std::get<Caller>(gate.admit(approach)) == Caller{});
  approach.method = "POST";
  CHECK(status(gate, approach) == 403);
  approach.authorization = "Bearer looks";
  CHECK(status(gate, approach) == 403);
  approach.authorization = "Bearer works";
  CHECK(std::get<Caller>(gate.admit(approach)) == Caller{Role::bench_operator, "tablet", false});
  approach.authorization = "bearer  works ";
  CHECK(status(gate, approach) == 200);
  for (const char* const wrong : {"Bearer wrong", "Bearer", "Bearer ", "Basic d29ya3M=", "works"}) {
    INFO(wrong);
    approach.authorization = wrong;
    CHECK(status(gate, approach) == 401);
  }
}

TEST_CASE("a cookie is as good as a token, and an old one keeps nobody from looking") {
  const Gate gate = gate_at("127.0.0.1:8734");
  Approach approach = looks_at("/v1/status", "127.0.0.1:8734");
  approach.method = "POST";
  const std::string set = gate.cookie_with("works");
  CHECK(set.find("nestcup_8734=works;") == 0);
  CHECK(set.find("HttpOnly") != std::string::npos);
  CHECK(set.find("SameSite=Strict") != std::string::npos);
  approach.cookie = "other=1; nestcup_8734=works";
  CHECK(status(gate, approach) == 200);
  for (const char* const wrong :
       {"nestcup_8734=", "nestcup_8735=works", "xnestcup_8734=works", "nestcup_8734 =works", ""}) {
    INFO(wrong);
    approach.cookie = wrong;
    CHECK(status(gate, approach) == 403);
  }
  approach.cookie = "nestcup_8734=old";
  approach.method = "GET";
  CHECK(status(gate, approach) == 200);
  CHECK(gate.cookie_with("").find("Max-Age=0") != std::string::npos);
}

TEST_CASE("beyond this machine nothing is told without a token") {
  const Gate gate = gate_at("10.1.2.3:8734");
  for (const char* const path : {"/v1/status", "/v1/stream", "/v1/runs", "/metrics", "/v1/"}) {
    INFO(path);
    Approach approach = looks_at(path, "10.1.2.3:8734");
    CHECK(status(gate, approach) == 401);
    approach.cookie = "nestcup_8734=old";
    CHECK(status(gate, approach) == 401);
    approach.authorization = "Bearer looks";
    CHECK(status(gate, approach) == 200);
    approach.method = "POST";
    CHECK(status(gate, approach) == 403);
  }
  for (const char* const path : {"/", "/app.js", "/texts/de.json", "/healthz"}) {
    INFO(path);
    CHECK(status(gate, looks_at(path, "10.1.2.3:8734")) == 200);
  }
  Approach sign_in = looks_at("/v1/login", "10.1.2.3:8734");
  sign_in.method = "POST";
  CHECK(status(gate, sign_in) == 200);
  sign_in.origin = "http://evil.example";
  CHECK(status(gate, sign_in) == 403);
}

TEST_CASE("where a proxy brings people from elsewhere, nobody looks without a token") {
  const Gate gate = gate_at("127.0.0.1:8734", {"bench-4.lab.example", "lab.example:8443"});
  for (const char* const host :
       {"bench-4.lab.example", "lab.example:8443", "127.0.0.1:8734", "localhost:8734"}) {
    INFO(host);
    Approach approach = looks_at("/v1/status", host);
    CHECK(status(gate, approach) == 401);
    approach.authorization = "Bearer looks";
    CHECK(status(gate, approach) == 200);
    CHECK(status(gate, looks_at("/", host)) == 200);
  }
  for (const char* const host : {"lab.example", "lab.example:8734", "lab.example:8443:8734"}) {
    INFO(host);
    CHECK(status(gate, looks_at("/", host)) == 421);
  }
}

TEST_CASE("what a bench can listen on") {
  CHECK(endpoint_of("127.0.0.1:8734"));
  CHECK(endpoint_of("localhost:8734")->address().is_loopback());
  CHECK(endpoint_of("[::1]:8734")->address().is_loopback());
  CHECK(endpoint_of("0.0.0.0:80")->address().is_unspecified());
  for (const char* const wrong : {"bench.example:8734", "127.0.0.1", "127.0.0.1:0", "1.2.3:80x"}) {
    INFO(wrong);
    CHECK_FALSE(endpoint_of(wrong));
  }
}
