// A bench that does nothing, for tests of its routes.
#pragma once

#include <future>
#include <memory>
#include <optional>
#include <string>

#include "core/sheet/sheet_file.hpp"
#include "daemon/api/api.hpp"
#include "daemon/api/book_reader.hpp"
#include "daemon/api/results_api.hpp"
#include "daemon/api/revision_api.hpp"
#include "daemon/api/sheet_api.hpp"
#include "daemon/api/status.hpp"
#include "tests/daemon/support.hpp"
#include "tests/record/simulated_store.hpp"

namespace nestcup::daemon {

inline std::string made_store(const test::Folder& folder, int runs) {
  const std::string path = folder.path("a.db");
  make_simulated_store(path, {runs, 1, analysis_version, "", 0});
  return path;
}

inline Sheet kept_in(const std::string& path) {
  const Store store = Store::open(path, StoreMode::read).value();
  return parse_sheet(store.sheets().value().front().text, "day.toml").value();
}

/// A bench without ports that has finished runs, and its routes.
class QuietBench {
 public:
  explicit QuietBench(int runs = 1)
      : path_(made_store(folder_, runs)),
        recorder_(Store::open(path_, StoreMode::write).value(), Log()),
        reader_(path_, Log()),
        delivery_({path_, {}, recorder_, Log()}) {
    bench_ = Bench::make({context_, clock_, recorder_, BenchFile{}, kept_in(path_), Log()}).value();
    router_.add(
        {"GET", "/v1/status", answer_at_once([this](const Request& request) {
           return json_response(status_for_caller(
               {*bench_, delivery_, housekeeping_, check_, ServiceState{}, 1.0}, request.caller));
         })});
    add_bench_routes(router_, *bench_);
    add_revision_routes(router_, *bench_);
    add_sheet_routes(router_, *bench_, reader_);
    add_results_routes(router_, *bench_, reader_);
  }
  QuietBench(const QuietBench&) = delete;
  QuietBench& operator=(const QuietBench&) = delete;
  ~QuietBench() {
    reader_.stop();
    recorder_.stop(std::chrono::seconds(5));
    bench_->stop();
  }

  Response ask(const std::string& method, const std::string& target, const std::string& body,
               const std::optional<Peer>& peer) {
    const auto answer = std::make_shared<std::promise<Response>>();
    const Caller caller{Role::bench_operator, peer ? peer->login : "tablet", peer.has_value()};
    router_.serve({method, target, body.empty() ? "" : "application/json", body, peer, caller, ""},
                  [answer](Response response) { answer->set_value(std::move(response)); });
    return answer->get_future().get();
  }
  Bench& bench() { return *bench_; }

 private:
  test::Folder folder_;
  std::string path_;
  boost::asio::io_context context_;
  test::FixedSpeed clock_{1.0};
  Recorder recorder_;
  BookReader reader_;
  Delivery delivery_;
  Housekeeping housekeeping_{{context_, clock_, recorder_}};
  StoreCheck check_{"", Log()};
  std::unique_ptr<Bench> bench_;
  Router router_;
};

}  // namespace nestcup::daemon
