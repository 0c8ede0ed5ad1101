#include "daemon/api/readings_api.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "daemon/control/query.hpp"

namespace nestcup::daemon {
namespace {

using Json = nlohmann::ordered_json;

constexpr TimeUs usual_span_us = 15 * 60 * us_per_s;
constexpr std::int64_t usual_points = 2000;
constexpr std::int64_t fewest_points = 10;
constexpr std::int64_t most_points = 20'000;

struct Asked {
  TimeUs from_us = 0;
  TimeUs to_us = 0;
  std::int64_t points = usual_points;
};

Result<Asked> read_query(const Request& request, TimeUs now_us) {
  if (auto known = check_keys(request, {"from_us", "to_us", "points"}); !known) {
    return known.error();
  }
  const auto to_us = whole_in(request, "to_us", now_us);
  if (!to_us) return to_us.error();
  if (*to_us < 0) return Error{Fault::usage, "to_us: must not be negative"};
  const auto from_us = whole_in(request, "from_us", *to_us - usual_span_us);
  if (!from_us) return from_us.error();
  const auto points = whole_in(request, "points", usual_points);
  if (!points) return points.error();
  if (*points < fewest_points || *points > most_points) {
    return Error{Fault::usage,
                 fmt::format("points: {} to {} are possible", fewest_points, most_points)};
  }
  if (*from_us > *to_us || *from_us < 0) {
    return Error{Fault::usage, "from_us: must not be negative, nor lie behind to_us"};
  }
  return Asked{*from_us, std::min(*to_us, now_us), *points};
}

/// Where each row of the store's probes stands on the bench; a probe has several rows where its
/// settings changed, and may be gone.
std::vector<std::optional<std::size_t>> places_of(const std::vector<StoredProbe>& rows,
                                                  const BenchFile& file) {
  std::vector<std::optional<std::size_t>> places;
  for (const StoredProbe& row : rows) {
    const auto found = std::find_if(file.probes.begin(), file.probes.end(),
                                    [&](const ProbeSettings& one) { return one.name == row.name; });
    const bool here = found != file.probes.end();
    places.push_back(here ? std::optional<std::size_t>(found - file.probes.begin()) : std::nullopt);
  }
  return places;
}

Result<Json> sampled_json(const Store& store, const BenchFile& file, const Asked& asked) {
  const auto rows = store.probes();
  if (!rows) return rows.error();
  const auto sampled = store.sampled_readings(
      asked.from_us, asked.to_us,
      static_cast<std::size_t>(asked.points) * std::max<std::size_t>(file.probes.size(), 1));
  if (!sampled) return sampled.error();
  Json list = Json::array();
  for (const ProbeSettings& probe : file.probes) {
    list.push_back({{"name", probe.name},
                    {"role", role_name(probe.role)},
                    {"time_us", Json::array()},
                    {"temperature_degC", Json::array()}});
  }
  const auto places = places_of(*rows, file);
  for (const Reading& reading : sampled->readings) {
    if (!places.at(reading.probe)) continue;
    Json& probe = list[*places[reading.probe]];
    probe["time_us"].push_back(reading.time_us);
    probe["temperature_degC"].push_back(reading.temperature_degC);
  }
  return Json{{"all", sampled->all}, {"probes", std::move(list)}};
}

void readings(Bench& bench, BookReader& reader, const Request& request, const Reply& reply) {
  const auto asked = read_query(request, bench.clock().now_us());
  if (!asked) return reply(error_response(asked.error()));
  // Behind what was handed to the writer before, so that no reading is missing that was shown.
  bench.recorder().post([&bench, &reader, asked = *asked, reply](Store&) -> Result<void> {
    reader.answer(reply, [&bench, asked](const Store& store) -> Result<Response> {
      const auto json = sampled_json(store, bench.file(), asked);
      if (!json) return json.error();
      return json_response(*json);
    });
    return {};
  });
}

}  // namespace

void add_readings_routes(Router& router, Bench& bench, BookReader& reader) {
  router.add({"GET", "/v1/readings", [&bench, &reader](const Request& request, const Reply& reply) {
                readings(bench, reader, request, reply);
              }});
}

}  // namespace nestcup::daemon
