#include "daemon/api/sheet_api.hpp"

#include "daemon/api/hidden_results.hpp"
#include "daemon/api/sheet_answer.hpp"
#include "daemon/api/store_answer.hpp"
#include "daemon/bench/next_trial.hpp"
#include "daemon/bench/sheet_change.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

/// The text of a request's key; empty where it is left out.
/// @errors usage: something else than text
Result<std::string> optional_text(const Request& request, const char* key) {
  const auto found = request.body.find(key);
  if (found == request.body.end()) return std::string();
  if (found->is_string()) return found->get<std::string>();
  return Error{Fault::usage, std::string(key) + ": a text is expected"};
}

Result<std::string> needed_text(const Request& request, const char* key) {
  if (request.body.contains(key)) return optional_text(request, key);
  return Error{Fault::usage, std::string(key) + ": is missing, a text is expected"};
}

void show_sheet(Bench& bench, BookReader& reader, const Request& request, const Reply& reply) {
  const bool hidden = hides_from(bench, request);
  reader.answer(reply, [&bench, hidden](const Store& store) -> Result<Response> {
    const auto sheet = sheet_answer(bench.trials().state(), store, hidden);
    if (!sheet) return sheet.error();
    return json_response({{"sheet", *sheet}});
  });
}

Response choose(Bench& bench, const Request& request) {
  const auto trial = needed_text(request, "trial");
  if (!trial) return error_response(trial.error());
  if (auto chosen = bench.trials().choose(*trial); !chosen) {
    return error_response(chosen.error());
  }
  const std::string who = who_asks(request);
  const TrialState state = bench.trials().state();
  bench.add_event("next-trial", {{"who", who}, {"trial", state.chosen ? Json(*trial) : Json()}});
  bench.log()(state.chosen ? "the next run is for trial " + *trial + ", says " + who
                           : "the next run is given by the sheet's order, says " + who);
  return json_response({{"next_trial", next_trial_json(state)}});
}

Result<AmountRequest> read_amount(const Request& request) {
  AmountRequest asked;
  for (const auto& [key, text] : {std::pair("trial", &asked.change.trial),
                                  {"part", &asked.change.part},
                                  {"key", &asked.change.key}}) {
    auto given = needed_text(request, key);
    if (!given) return given.error();
    *text = std::move(given).value();
  }
  auto reason = optional_text(request, "reason");
  if (!reason) return reason.error();
  asked.reason = std::move(reason).value();
  asked.who = who_asks(request);
  const auto value = request.body.find("value");
  if (value == request.body.end() || !(value->is_number() || value->is_null())) {
    return Error{Fault::usage, "value: a number is expected, or null to take the key out"};
  }
  if (value->is_number()) asked.change.value = value->get<double>();
  return asked;
}

void set_one_amount(Bench& bench, const Request& request, const Reply& reply) {
  const auto asked = read_amount(request);
  if (!asked) return reply(error_response(asked.error()));
  answer_from_store(bench, reply, [&bench, asked = *asked](Store& store) {
    return set_amount(bench, store, asked);
  });
}

void reload(Bench& bench, const Request& request, const Reply& reply) {
  answer_from_store(bench, reply, [&bench, who = who_asks(request)](Store& store) {
    return reload_sheet(bench, store, who);
  });
}

}  // namespace

void add_sheet_routes(Router& router, Bench& bench, BookReader& reader) {
  router.add({"GET", "/v1/sheet", [&bench, &reader](const Request& request, const Reply& reply) {
                show_sheet(bench, reader, request, reply);
              }});
  router.add({"POST", "/v1/trial",
              answer_at_once([&bench](const Request& request) { return choose(bench, request); })});
  router.add({"POST", "/v1/amounts", [&bench](const Request& request, const Reply& reply) {
                set_one_amount(bench, request, reply);
              }});
  router.add({"POST", "/v1/sheet/reload", [&bench](const Request& request, const Reply& reply) {
                reload(bench, request, reply);
              }});
}

}  // namespace nestcup::daemon
