#include "daemon/api.hpp"

#include <fmt/format.h>

#include "daemon/hidden_results.hpp"
#include "daemon/store_answer.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

Result<Json> list_runs(const Store& store, bool hidden) {
  const auto runs = store.runs();
  if (!runs) return runs.error();
  Json list = Json::array();
  for (const StoredRun& run : *runs) list.push_back(run_line(run, hidden));
  return Json{{"runs", std::move(list)}};
}

Result<Json> one_run(const Store& store, const std::string& which, bool hidden) {
  const auto run = store.find_run(which);
  if (!run) return run.error();
  return run_line(*run, hidden);
}

Response mark(Bench& bench, const Request& request) {
  const TimeUs now_us = bench.clock().now_us();
  TimeUs time_us = now_us;
  if (const auto ago = request.body.find("seconds_ago"); ago != request.body.end()) {
    if (!ago->is_number() || ago->get<double>() < 0.0 || ago->get<double>() > 600.0) {
      return error_response({Fault::usage, "seconds_ago: a number from 0 to 600 is expected"});
    }
    time_us -= to_us(ago->get<double>());
  }
  bench.mark(time_us, who_asks(request));
  return json_response({{"marked", true}, {"seconds_ago", to_s(now_us - time_us)}});
}

void finish(Bench& bench, const Request& request, const Reply& reply) {
  bench.finish(who_asks(request), [reply](const Result<void>& done) {
    reply(done ? json_response({{"finished", true}}) : error_response(done.error()));
  });
}

}  // namespace

void add_bench_routes(Router& router, Bench& bench) {
  router.add({"GET", "/v1/runs", [&bench](const Request& request, const Reply& reply) {
                const bool hidden = hides_from(bench, request);
                answer_from_store(bench, reply,
                                  [hidden](Store& store) { return list_runs(store, hidden); });
              }});
  router.add({"GET", "/v1/runs/{run}", [&bench](const Request& request, const Reply& reply) {
                const std::string which = request.captured.at("run");
                const bool hidden = hides_from(bench, request);
                answer_from_store(bench, reply, [which, hidden](Store& store) {
                  return one_run(store, which, hidden);
                });
              }});
  router.add({"POST", "/v1/mark",
              answer_at_once([&bench](const Request& request) { return mark(bench, request); })});
  router.add({"POST", "/v1/finish", [&bench](const Request& request, const Reply& reply) {
                finish(bench, request, reply);
              }});
}

}  // namespace nestcup::daemon
