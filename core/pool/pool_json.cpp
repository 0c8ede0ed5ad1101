#include <array>
#include <cmath>

#include "core/pool/pool_json.hpp"

namespace nestcup::pooled {
namespace {

Json json_number(const std::optional<double>& value) {
  return value && std::isfinite(*value) ? Json(*value) : Json(nullptr);
}

Json quantity(const Uncertain& value) {
  Json json{{"value", json_number(value.value)}, {"u", json_number(value.u)}};
  if (value.dof) json["dof"] = json_number(value.dof);
  return json;
}

Json bench_name(const ClassResult& result, std::size_t bench, const PoolContext& context) {
  return context.nameless ? Json(nullptr) : Json(result.benches[bench].name);
}

std::string test_word(Standing standing) {
  if (standing == Standing::outlier) return "outlier";
  return standing == Standing::straggler ? "straggler" : "in line";
}

Json value_json(const ClassResult& result, const BenchValue& value, const PoolContext& context) {
  Json json{{"bench", bench_name(result, value.bench, context)}};
  json.update(quantity(value.stated));
  json["u_own"] = value.u_own;
  json["z"] = json_number(value.z);
  json["E_n"] = json_number(value.E_n);
  json["standing"] = standing_word(value);
  json["grubbs"] = test_word(value.grubbs);
  json["far"] = value.far;
  json["cochran"] = test_word(value.scatter);
  json["runs"] = Json::array();
  for (const auto& [run, found] : value.runs) {
    Json one{{"value", json_number(found)}};
    if (!context.nameless) one["id"] = run;
    json["runs"].push_back(std::move(one));
  }
  return json;
}

Json test_json(const std::optional<OutlierTest>& test, const ClassResult& result,
               const ClassQuantity& quantity, const PoolContext& context) {
  if (!test) return nullptr;
  Json benches = Json::array();
  for (const std::size_t which : test->which) {
    benches.push_back(bench_name(result, quantity.benches[which].bench, context));
  }
  return {{"statistic", test->statistic},
          {"critical_5_percent", test->critical_5_percent},
          {"critical_1_percent", test->critical_1_percent},
          {"benches", std::move(benches)},
          {"standing", test_word(test->standing)}};
}

Json spread_json(const std::optional<BetweenWithin>& spread) {
  if (!spread) return nullptr;
  return {
      {"mean_of_runs", spread->mean},           {"repeatability_sd", spread->repeatability_sd},
      {"between_bench_sd", spread->between_sd}, {"reproducibility_sd", spread->reproducibility_sd},
      {"dof_between", spread->dof_between},     {"dof_within", spread->dof_within},
      {"probability", spread->probability}};
}

Json accepted_json(const std::optional<AcceptedFigure>& accepted) {
  if (!accepted) return nullptr;
  Json json = quantity(accepted->value);
  json["source"] = accepted->source;
  json["E_n"] = json_number(accepted->E_n);
  return json;
}

/// All figures of one quantity, in the unit that the key above them names.
Json figures_json(const ClassResult& result, const ClassQuantity& found,
                  const PoolContext& context) {
  Json json{{"mean", found.mean}, {"median", found.median}};
  json["robust_mean"] =
      found.robust ? quantity({found.robust->mean, found.robust->u_mean, {}}) : Json(nullptr);
  json["robust_sd"] = found.robust ? Json(found.robust->sd) : Json(nullptr);
  json["u_tables"] = found.u_tables;
  json["spread"] = spread_json(found.spread);
  json["spread_in_line"] = spread_json(found.spread_in_line);
  json["accepted"] = accepted_json(found.accepted);
  json["grubbs_one"] = test_json(found.grubbs_one, result, found, context);
  json["grubbs_two"] = test_json(found.grubbs_two, result, found, context);
  json["cochran"] = test_json(found.cochran, result, found, context);
  json["values"] = Json::array();
  for (const BenchValue* const value : shown_values(found, context.nameless)) {
    json["values"].push_back(value_json(result, *value, context));
  }
  return json;
}

Json quantity_json(const ClassResult& result, const ClassQuantity& found,
                   const PoolContext& context) {
  constexpr std::array kinds{"constant", "trial", "cycle"};
  Json json{{"kind", kinds[static_cast<std::size_t>(found.name.kind)]}};
  json["trial"] = found.name.trial.empty() ? Json(nullptr) : Json(found.name.trial);
  json["equation"] = found.name.equation.empty() ? Json(nullptr) : Json(found.name.equation);
  json["quantity"] = found.name.what;
  json["benches"] = found.benches.size();
  json["runs"] = found.runs;
  json[found.name.key] = figures_json(result, found, context);
  return json;
}

Json reason_json(const Reason& reason) {
  Json json{{"code", reason.code},
            {"trust", trust_name(reason.trust)},
            {"trials", reason.trials},
            {"values", Json::object()},
            {"text", reason.text}};
  for (const auto& [name, value] : reason.values) json["values"][name] = json_number(value);
  return json;
}

Json left_out_json(const std::vector<LeftOutRun>& left_out) {
  Json json = Json::array();
  for (const LeftOutRun& run : left_out) {
    json.push_back({{"run", run.label},
                    {"trial", run.trial.empty() ? Json(nullptr) : Json(run.trial)},
                    {"why", run.why},
                    {"reason", run.reason.empty() ? Json(nullptr) : Json(run.reason)}});
  }
  return json;
}

Json bench_json(const ClassResult& result, std::size_t place, const PoolContext& context) {
  const BenchJudgement& judgement = result.judgements[place];
  Json json{{"bench", bench_name(result, place, context)},
            {"runs", result.benches[place].runs.size()},
            {"leak_ratio", judgement.leak ? Json(judgement.leak->ratio) : Json(nullptr)},
            {"outlying", Json::array()},
            {"reasons", Json::array()}};
  for (const std::size_t which : judgement.outlying) {
    json["outlying"].push_back(quantity_label(result.quantities[which].name));
  }
  for (const Reason& reason : judgement.reasons) json["reasons"].push_back(reason_json(reason));
  json["left_out"] = left_out_json(result.benches[place].left_out);
  return json;
}

/// Without names the benches stand in an order of nothing that the tables have.
std::vector<std::size_t> shown_benches(const ClassResult& result, const PoolContext& context) {
  std::vector<std::size_t> places(result.benches.size());
  for (std::size_t i = 0; i < places.size(); ++i) places[i] = i;
  if (!context.nameless) return places;
  std::erase_if(places, [&](std::size_t place) {
    return result.judgements[place].reasons.empty() && result.benches[place].left_out.empty();
  });
  return places;
}

}  // namespace

Json pool_json(std::span<const ClassResult> results, const PoolContext& context) {
  Json json{{"format", "nestcup-pool"}, {"version", 1}, {"sheets", Json::array()}};
  for (const ClassResult& result : results) {
    std::size_t runs = 0;
    for (const ClassBench& bench : result.benches) runs += bench.runs.size();
    Json sheet{
        {"title", result.title}, {"bench_count", result.benches.size()}, {"run_count", runs}};
    sheet["quantities"] = Json::array();
    for (const ClassQuantity& quantity : result.quantities) {
      sheet["quantities"].push_back(quantity_json(result, quantity, context));
    }
    sheet["benches"] = Json::array();
    for (const std::size_t place : shown_benches(result, context)) {
      sheet["benches"].push_back(bench_json(result, place, context));
    }
    json["sheets"].push_back(std::move(sheet));
  }
  json["left_out"] = left_out_json(context.nowhere);
  json["notes"] = context.notes;
  return json;
}

}  // namespace nestcup::pooled
