// The description of the interface has every route of the daemon, and no other.
#include "daemon/api/description_api.hpp"

#include <algorithm>
#include <nlohmann/json.hpp>
#include <set>

#include "daemon/api/interface.hpp"
#include "daemon/api/page_files.hpp"
#include "tests/catch.hpp"
#include "tests/daemon/support.hpp"

using namespace nestcup;
using namespace nestcup::daemon;

namespace {

/// "GET /v1/status"
using RouteNames = std::set<std::string>;

const Log hear_nothing;

RouteNames names_of(const Router& router) {
  RouteNames names;
  for (const auto& [method, pattern] : router.routes()) names.insert(method + " " + pattern);
  return names;
}

/// A port of this machine that nobody listens on.
std::string free_address() {
  boost::asio::io_context context;
  const boost::asio::ip::tcp::endpoint any(boost::asio::ip::address_v4::loopback(), 0);
  const boost::asio::ip::tcp::acceptor acceptor(context, any);
  return "127.0.0.1:" + std::to_string(acceptor.local_endpoint().port());
}

/// The routes of a daemon that serves both sockets.
RouteNames offered() {
  const test::Folder folder;
  const test::FixedSpeed clock(1.0);
  BenchFile file;
  file.store = folder.path("a.db");
  file.control = folder.path("a.sock");
  file.listen = free_address();
  boost::asio::io_context context;
  Recorder recorder(Store::open(file.store, StoreMode::write).value(), hear_nothing);
  Delivery delivery({file.store, {}, recorder, hear_nothing});
  auto bench = Bench::make({context, clock, recorder, file, std::nullopt, hear_nothing}).value();
  const Housekeeping housekeeping({context, clock, recorder});
  const StoreCheck check(file.store, hear_nothing);
  auto interface =
      Interface::open({context, *bench, delivery, housekeeping, check, 1.0, hear_nothing}).value();
  RouteNames names = names_of(interface->router());
  interface->stop();
  bench->stop();
  delivery.stop();
  recorder.stop(std::chrono::seconds(5));
  return names;
}

/// The page's own files, which the description has together.
RouteNames page_names() {
  Router page;
  add_page_routes(page);
  return names_of(page);
}

RouteNames described() {
  RouteNames names;
  const auto description = nlohmann::json::parse(description_text());
  for (const auto& [path, methods] : description.at("paths").items()) {
    for (const auto& [method, operation] : methods.items()) {
      std::string name = method;
      std::transform(name.begin(), name.end(), name.begin(),
                     [](unsigned char letter) { return static_cast<char>(std::toupper(letter)); });
      names.insert(name + " " + path);
    }
  }
  return names;
}

std::string joined(const RouteNames& from, const RouteNames& without) {
  std::string text;
  for (const std::string& name : from) {
    if (!without.contains(name)) text += name + "\n";
  }
  return text;
}

}  // namespace

TEST_CASE("the description has every route, and each is there", "[description]") {
  RouteNames routes = offered();
  REQUIRE(routes.size() > 25);
  const RouteNames page = page_names();
  for (const std::string& name : page) {
    INFO(name);
    REQUIRE(routes.erase(name) == 1);
    const bool is_text = name.starts_with("GET /texts/") && name.ends_with(".json");
    const bool is_file = std::count(name.begin(), name.end(), '/') == 1;
    CHECK((is_text || is_file));
  }
  RouteNames known = described();
  for (const char* together : {"GET /", "GET /{file}", "GET /texts/{language}.json"}) {
    INFO(together);
    CHECK(known.erase(together) == 1);
  }
  CHECK(joined(routes, known) == "");
  CHECK(joined(known, routes) == "");
}

TEST_CASE("the schema of records lies beside the description", "[description]") {
  const auto schema = nlohmann::json::parse(record_schema_text());
  CHECK(schema.at("properties").at("format").at("const") == "nestcup-run");
  CHECK(description_text().find("\"run_record.schema.json\"") != std::string::npos);
}
