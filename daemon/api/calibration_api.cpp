#include "daemon/api/calibration_api.hpp"

#include <fmt/format.h>

#include <charconv>
#include <optional>

#include "core/record/calibration_json.hpp"
#include "daemon/api/store_answer.hpp"
#include "daemon/bench/calibration_request.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

Json list_json(const Bench& bench) {
  Json list = Json::array(), held = Json::array();
  for (const StoredCalibration& row : bench.calibrations().rows()) {
    list.push_back(stored_calibration_json(row));
  }
  const auto now = bench.calibrations().held();
  for (std::size_t i = 0; i < now.size(); ++i) {
    const auto& correction = now[i].correction;
    held.push_back({{"probe", bench.file().probes[i].name},
                    {"number", correction ? Json(correction->number) : Json(nullptr)}});
  }
  return {{"calibrations", std::move(list)}, {"held", std::move(held)}};
}

/// A whole number that is all of `text`.
template <class Whole>
std::optional<Whole> whole_of(const std::string& text) {
  Whole value{};
  const char* const end = text.data() + text.size();
  const auto [stop, fault] = std::from_chars(text.data(), end, value);
  if (fault != std::errc{} || stop != end) return std::nullopt;
  return value;
}

Response readings(const Bench& bench, const Request& request) {
  const auto number = whole_of<std::size_t>(request.captured.at("number"));
  if (!number || *number < 1 || *number > bench.file().probes.size()) {
    return error_response({Fault::no_input, fmt::format("probes have the numbers 1 to {}",
                                                        bench.file().probes.size())});
  }
  const auto written = request.query.find("after_us");
  const auto after_us =
      written == request.query.end() ? std::optional<TimeUs>(0) : whole_of<TimeUs>(written->second);
  if (!after_us) return error_response({Fault::usage, "after_us: a whole number is expected"});
  Json list = Json::array();
  for (const SeenReadings::Seen& seen : bench.seen(*number - 1).after(*after_us)) {
    list.push_back(Json::array({seen.time_us, seen.shown_degC}));
  }
  return json_response({{"probe", bench.file().probes[*number - 1].name},
                        {"now_us", bench.clock().now_us()},
                        {"readings", std::move(list)}});
}

Json fit_json(const CalibrationFit& fit) {
  return {{"residuals_K", fit.residuals_K}, {"rms_K", fit.rms_K}, {"surplus", fit.surplus}};
}

void calibrate(Bench& bench, const Request& request, const Reply& reply) {
  auto asked = read_calibration_request(request.body, bench.file(), bench.calibrations().rows());
  if (!asked) return reply(error_response(asked.error()));
  Json answer;
  if (asked->fit) answer["fit"] = fit_json(*asked->fit);
  for (StoredCalibration& row : asked->rows) {
    row.who = who_asks(request);
  }
  bench.calibrate(std::move(asked->rows), asked->drop_run, [answer, reply](const auto& stored) {
    if (!stored) return reply(error_response(stored.error()));
    Json said = answer;
    said["stored"] = Json::array();
    for (const StoredCalibration& row : *stored) {
      said["stored"].push_back(stored_calibration_json(row));
    }
    reply(json_response(said));
  });
}

}  // namespace

void add_calibration_routes(Router& router, Bench& bench) {
  router.add({"GET", "/v1/calibrations", answer_at_once([&bench](const Request&) {
                return json_response(list_json(bench));
              })});
  router.add({"POST", "/v1/calibrations", [&bench](const Request& request, const Reply& reply) {
                calibrate(bench, request, reply);
              }});
  router.add(
      {"GET", "/v1/probes/{number}/readings",
       answer_at_once([&bench](const Request& request) { return readings(bench, request); })});
}

}  // namespace nestcup::daemon
