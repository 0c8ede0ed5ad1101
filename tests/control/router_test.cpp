#include "daemon/control/router.hpp"

#include <string>
#include <vector>

#include "core/base/fault_name.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::daemon;

namespace {

Response serve(const Router& router, RawRequest raw) {
  std::vector<Response> answers;
  router.serve(std::move(raw), [&](Response response) { answers.push_back(std::move(response)); });
  REQUIRE(answers.size() == 1);
  return answers.front();
}

nlohmann::json error_of(const Response& response) {
  return nlohmann::json::parse(response.body).at("error");
}

Router sample() {
  Router router;
  const Handler echo = answer_at_once([](const Request& request) {
    return json_response({{"path", request.path},
                          {"captured", request.captured},
                          {"query", request.query},
                          {"body", request.body}});
  });
  router.add({"GET", "/v1/runs", echo});
  router.add({"GET", "/v1/runs/{id}", echo});
  router.add({"POST", "/v1/runs/{id}/strike", echo});
  router.add({"POST", "/v1/mark", echo});
  return router;
}

RawRequest post(const std::string& body, const std::string& type = "application/json") {
  return {"POST", "/v1/mark", type, body, std::nullopt};
}

}  // namespace

TEST_CASE("a request reaches its handler with what stands in its path and query") {
  const Response response =
      serve(sample(), {"GET", "/v1/runs/ab%2dc?after=12&zone=+2%20h&flag", "", "", std::nullopt});
  REQUIRE(response.status == 200);
  CHECK(nlohmann::json::parse(response.body) ==
        nlohmann::json({{"path", "/v1/runs/ab-c"},
                        {"captured", {{"id", "ab-c"}}},
                        {"query", {{"after", "12"}, {"zone", "+2 h"}, {"flag", ""}}},
                        {"body", nlohmann::json::object()}}));
}

TEST_CASE("a number that no double can hold is refused, and nothing is thrown") {
  for (const std::string& number : {std::string("1e400"), "1" + std::string(400, '0')}) {
    const Response response = serve(sample(), post("{\"seconds_ago\": -" + number + "}"));
    CHECK(response.status == 400);
    CHECK(error_of(response).at("kind") == "usage");
  }
}

TEST_CASE("an unknown path is answered with the nearest known one") {
  const auto text_for = [](const std::string& target) {
    const Response response = serve(sample(), {"GET", target, "", "", std::nullopt});
    CHECK(response.status == 404);
    CHECK(error_of(response).at("kind") == "no-input");
    return error_of(response).at("text").get<std::string>();
  };
  CHECK(text_for("/v1/rnus") == "there is no /v1/rnus; did you mean /v1/runs?");
  CHECK(text_for("/v1/runs/7/strke") ==
        "there is no /v1/runs/7/strke; did you mean /v1/runs/7/strike?");
  CHECK(text_for("/elsewhere/entirely/else") == "there is no /elsewhere/entirely/else");
  CHECK(text_for("/") == "there is no /");
}

TEST_CASE("a wrong method is answered with those allowed") {
  const Response deleted = serve(sample(), {"DELETE", "/v1/runs/7", "", "", std::nullopt});
  CHECK(deleted.status == 405);
  CHECK(deleted.allow == "GET, HEAD");
  const Response got = serve(sample(), {"GET", "/v1/mark", "", "", std::nullopt});
  CHECK(got.status == 405);
  CHECK(got.allow == "POST");
  CHECK(serve(sample(), {"HEAD", "/v1/runs", "", "", std::nullopt}).status == 200);
}

TEST_CASE("targets with tricks in them are refused") {
  const std::vector<std::string> targets{"",
                                         "v1/runs",
                                         "*",
                                         "http://host/v1/runs",
                                         "//v1/runs",
                                         "/v1//runs",
                                         "/v1/runs/",
                                         "/v1/../v1/runs",
                                         "/v1/%2e%2E/runs",
                                         "/v1/./runs",
                                         "/v1/runs/a%2Fstrike",
                                         "/v1/runs/a%00",
                                         "/v1/runs/a%0d%0aX: y",
                                         "/v1/runs/%",
                                         "/v1/runs/%4",
                                         "/v1/runs/%-1",
                                         "/v1/runs/%zz",
                                         "/v1/runs/\xc3\xa9",
                                         "/v1/runs/%c3%a9",
                                         "/v1/runs#top",
                                         "/v1/runs?a=1&a=2",
                                         "/v1/runs?=1",
                                         "/v1/runs?a=%",
                                         "/v1/runs?a=%ff"};
  for (const std::string& target : targets) {
    INFO(target);
    const Response response = serve(sample(), {"GET", target, "", "", std::nullopt});
    CHECK(response.status == 400);
    CHECK(error_of(response).at("kind") == "usage");
  }
}

TEST_CASE("bodies are one JSON object of the right type or are refused") {
  CHECK(serve(sample(), post("{\"at_s\": 12.5}")).status == 200);
  CHECK(serve(sample(), post("{}", "Application/JSON ; charset=utf-8")).status == 200);
  CHECK(serve(sample(), post("", "")).status == 200);
  for (const std::string type : {"", "text/plain", "application/x-www-form-urlencoded",
                                 "application/jsonp", "multipart/form-data; boundary=x"}) {
    INFO(type);
    CHECK(serve(sample(), post("{}", type)).status == 415);
  }
  const std::vector<std::string> bad{"{",
                                     "nonsense",
                                     "[]",
                                     "1",
                                     "null",
                                     "\"text\"",
                                     "{} {}",
                                     "{\"a\":NaN}",
                                     "{\"a\":\"\xff\"}",
                                     std::string("{}\0", 3),
                                     "{\"a\":" + std::string(40, '[') + std::string(40, ']') + "}",
                                     std::string(60'000, '[')};
  for (const std::string& body : bad) {
    INFO(body.substr(0, 80));
    CHECK(serve(sample(), post(body)).status == 400);
  }
  CHECK(serve(sample(), {"GET", "/v1/runs", "application/json", "{}", std::nullopt}).status == 400);
}

TEST_CASE("what a handler throws is reported inside and hidden outside") {
  std::vector<std::string> reports;
  Router router([&](std::string_view text) { reports.emplace_back(text); });
  router.add({"GET", "/v1/status",
              [](const Request&, const Reply&) { throw std::runtime_error("inner detail"); }});
  const Response response = serve(router, {"GET", "/v1/status", "", "", std::nullopt});
  CHECK(response.status == 500);
  CHECK(response.body.find("inner detail") == std::string::npos);
  CHECK(reports == std::vector<std::string>{"GET /v1/status failed: inner detail"});
}

TEST_CASE("every kind of failure has its own name and a status of failure") {
  std::vector<std::string_view> seen;
  for (int i = 0; i <= static_cast<int>(Fault::bad_configuration); ++i) {
    const auto kind = static_cast<Fault>(i);
    const auto name = fault_name(kind);
    CHECK(std::find(seen.begin(), seen.end(), name) == seen.end());
    CHECK(fault_named(name) == kind);
    CHECK(status_of(kind) >= 400);
    seen.push_back(name);
  }
  CHECK_FALSE(fault_named("no such kind"));
  CHECK(error_of(error_response(Error{Fault::bad_data, "bad \xff byte"})).at("kind") == "bad-data");
}
