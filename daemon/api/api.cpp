#include "daemon/api/api.hpp"

#include <fmt/format.h>

#include <cstdint>
#include <limits>

#include "daemon/api/hidden_results.hpp"
#include "daemon/api/store_answer.hpp"
#include "daemon/control/query.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

/// Records are long, and a bench has thousands of runs after some terms: they come in pieces.
struct Piece {
  int before;
  int most;
};
constexpr std::int64_t usual_runs = 50;
constexpr std::int64_t most_runs = 500;

Result<Piece> asked_piece(const Request& request) {
  if (auto known = check_keys(request, {"before", "most"}); !known) return known.error();
  constexpr std::int64_t behind_all = std::numeric_limits<int>::max();
  const auto before = whole_in(request, "before", behind_all);
  if (!before) return before.error();
  const auto most = whole_in(request, "most", usual_runs);
  if (!most) return most.error();
  if (*before < 1 || *before > behind_all) {
    return Error{Fault::usage, "before: the number of a run is expected"};
  }
  if (*most < 1 || *most > most_runs) {
    return Error{Fault::usage, fmt::format("most: 1 to {} are possible", most_runs)};
  }
  return Piece{static_cast<int>(*before), static_cast<int>(*most)};
}

/// By one more than was asked for is known whether there are older ones.
Result<Json> list_runs(const Store& store, const Piece& piece, bool hidden) {
  const auto runs = store.runs_below(piece.before, piece.most + 1);
  if (!runs) return runs.error();
  const bool has_older = std::ssize(*runs) > piece.most;
  Json list = Json::array();
  for (auto run = runs->begin() + (has_older ? 1 : 0); run != runs->end(); ++run) {
    list.push_back(run_line(*run, hidden));
  }
  return Json{{"runs", std::move(list)}, {"has_older", has_older}};
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
                const auto piece = asked_piece(request);
                if (!piece) return reply(error_response(piece.error()));
                const bool hidden = hides_from(bench, request);
                answer_from_store(bench, reply, [piece = *piece, hidden](Store& store) {
                  return list_runs(store, piece, hidden);
                });
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
