// nestcup calibrate: hold a probe against ice, steam, a reference or another probe.
#include <fmt/format.h>

#include "core/analysis/calibration/time_constant.hpp"
#include "core/base/uncertain_text.hpp"
#include "core/record/calibration_json.hpp"
#include "tools/calibrate/guide.hpp"
#include "tools/calibrate/outcome.hpp"
#include "tools/calibrate/request.hpp"
#include "tools/cli/output.hpp"
#include "tools/client/client.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"

namespace nestcup {
namespace {

/// What the daemon answers to new rows.
Result<Json> post(const BenchFile& bench, const nlohmann::json& body) {
  const auto answer = call(bench.control, "POST", "/v1/calibrations", body);
  if (!answer) return answer.error();
  return Json::parse(answer->dump());
}

/// A correction is refused while a run is under way; better said before the measuring than after.
Result<void> check_no_run(const BenchFile& bench, const std::string& probe) {
  // Says well where no daemon runs, and whether there is such a probe.
  if (auto found = ProbeTalk::find(bench, probe, {}); !found) return found.error();
  const auto status = call(bench.control, "GET", "/v1/status");
  if (!status) return status.error();
  const auto state = status->at("run").at("state").get<std::string>();
  if (state == "watching") return {};
  return Error{
      Fault::try_later,
      fmt::format("a run is under way ({}); wait for its end, or end it: nestcup finish", state)};
}

int report(cli::Streams& streams, bool json, const Json& answer, const std::string& text) {
  streams.out << (json ? answer.dump() + "\n" : text);
  return 0;
}

int list(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto store = chosen_store(parsed);
  if (!store) return cli::report_error(streams, store.error());
  const auto rows = store->calibrations(parsed.text("PROBE"));
  if (!rows) return cli::report_error(streams, rows.error());
  if (parsed.flag("json")) {
    for (const auto& row : *rows) streams.out << stored_calibration_json(row).dump() << '\n';
    return 0;
  }
  if (rows->empty()) {
    streams.err << fmt::format("{}: {}: no calibrations yet\n", streams.program, store->path());
    return 0;
  }
  streams.out << list_text(*rows, streams.colour);
  return 0;
}

Result<std::string> by_points(const BenchFile& bench, const CalibrateRequest& request,
                              cli::Streams& streams, Json& answer) {
  if (auto free = check_no_run(bench, request.probe); !free) return free.error();
  const auto points = measure_points(bench, request, streams);
  if (!points) return points.error();
  nlohmann::json list = nlohmann::json::array();
  for (const MeasuredPoint& point : *points) {
    list.push_back({{"source", point_name(point.planned.kind)},
                    {"true_degC", point.planned.true_degC},
                    {"u_true_K", point.planned.u_K},
                    {"reading_degC", point.shown.mean_degC},
                    {"u_reading_K", point.shown.u_K},
                    {"scatter_K", point.shown.sd_K},
                    {"drift_K_per_min", point.shown.drift_K_per_min},
                    {"readings", point.shown.count}});
  }
  auto said = post(bench, {{"probe", request.probe},
                           {"kind", request.kind},
                           {"points", std::move(list)},
                           {"drop_run", true},
                           {"note", request.note}});
  if (!said) return said.error();
  answer = std::move(said).value();
  return fit_text(*points, answer, streams.colour);
}

Result<std::string> by_comparison(const BenchFile& bench, const CalibrateRequest& request,
                                  const std::string& other, bool apply, cli::Streams& streams,
                                  Json& answer) {
  if (auto free = check_no_run(bench, request.probe); apply && !free) return free.error();
  const auto compared = compare_probes(bench, request, other, streams);
  if (!compared) return compared.error();
  auto said = post(
      bench, {{"probe", request.probe},
              {"kind", "difference"},
              {"other", other},
              {"reading_degC", compared->probe.mean_degC},
              {"other_reading_degC", compared->probe.mean_degC - compared->difference.mean_degC},
              {"u_difference_K", compared->difference.u_K},
              {"apply", apply},
              {"note", request.note}});
  if (!said) return said.error();
  answer = std::move(said).value();
  const Json& rows = answer.at("stored");
  const Json& found = rows.at(0).at("difference_K");
  std::string text = fmt::format(
      "{} less {}: {}\n", request.probe, other,
      uncertain_text({found.at("value").get<double>(), found.at("u").get<double>(), std::nullopt},
                     "K"));
  if (rows.size() < 2) return text + "recorded; nothing is corrected by it (--apply does)\n";
  const auto calibration = calibration_in(Json{{"calibration", rows.at(1)}});
  return text + (calibration ? correction_text(*calibration) : "") +
         fmt::format("calibration {} of probe {} holds from now on: it agrees with {}\n",
                     rows.at(1).at("number").get<int>(), rows.at(1).at("probe").get<std::string>(),
                     rows.at(1).at("against").get<std::string>());
}

Result<std::string> by_plunge(const BenchFile& bench, const CalibrateRequest& request,
                              cli::Streams& streams, Json& answer) {
  const auto curve = watch_plunge(bench, request, streams);
  if (!curve) return curve.error();
  const auto plunge = fit_plunge(*curve);
  if (!plunge) {
    return Error{Fault::try_later,
                 "the readings show no plunge that could be fitted; move the "
                 "probe in one go between vessels some 20 K apart, and ask for "
                 "readings more often (interval_s)"};
  }
  auto said = post(bench, {{"probe", request.probe},
                           {"kind", "time constant"},
                           {"value_s", plunge->time_constant_s.value},
                           {"u_s", plunge->time_constant_s.u},
                           {"note", request.note}});
  if (!said) return said.error();
  answer = std::move(said).value();
  return fmt::format(
      "time constant {}, from a plunge of {:.2f} K, {} readings, scatter {:.1f} mK\n"
      "stored; records show it from now on\n",
      uncertain_text(plunge->time_constant_s, "s"), -plunge->step_K, plunge->count,
      1e3 * plunge->sd_K);
}

Result<std::string> take_back(const BenchFile& bench, const CalibrateRequest& request,
                              const std::optional<std::int64_t>& number, Json& answer) {
  nlohmann::json body{{"probe", request.probe}, {"kind", "again"}, {"note", request.note}};
  if (number) body["number"] = *number;
  auto said = post(bench, body);
  if (!said) return said.error();
  answer = std::move(said).value();
  const Json& row = answer.at("stored").at(0);
  if (!row.contains("again")) {
    return fmt::format("probe {} is read as it is from now on\n", request.probe);
  }
  return fmt::format("calibration {} of probe {} holds again\n", row.at("again").get<int>(),
                     request.probe);
}

/// What is asked beside points: at most one of these.
Result<void> check_modes(const cli::Parsed& parsed) {
  int modes = 0;
  for (const char* mode : {"compare", "lag", "undo", "again"}) modes += parsed.flag(mode) ? 1 : 0;
  const bool points = parsed.flag("ice") || parsed.flag("steam") || parsed.flag("reference-degC") ||
                      parsed.flag("offset") || parsed.flag("line");
  if (modes > 1 || (modes == 1 && points)) {
    return Error{Fault::usage,
                 "--compare, --lag, --undo, --again and points of calibration: one "
                 "thing at a time"};
  }
  if (parsed.flag("apply") && !parsed.flag("compare")) {
    return Error{Fault::usage, "option --apply belongs to --compare"};
  }
  if (parsed.flag("store")) return Error{Fault::usage, "option --store belongs to --list"};
  return {};
}

int calibrate(const cli::Parsed& parsed, cli::Streams& streams) {
  if (parsed.flag("list")) return list(parsed, streams);
  if (auto fine = check_modes(parsed); !fine) return cli::report_error(streams, fine.error());
  const auto request = read_calibrate_request(parsed);
  if (!request) return cli::report_error(streams, request.error());
  const auto number = parsed.whole_number("again");
  if (!number) return cli::report_error(streams, number.error());
  if (request->points.empty() && !request->ask && !parsed.flag("compare") && !parsed.flag("lag") &&
      !parsed.flag("undo") && !*number) {
    return cli::report_error(streams, {Fault::usage,
                                       "option --yes: name the points, too: --ice, "
                                       "--steam or --reference-degC"});
  }
  const auto bench = chosen_bench(parsed);
  if (!bench) return cli::report_error(streams, bench.error());
  Json answer;
  const auto text = parsed.flag("compare")
                        ? by_comparison(*bench, *request, *parsed.text("compare"),
                                        parsed.flag("apply"), streams, answer)
                    : parsed.flag("lag")             ? by_plunge(*bench, *request, streams, answer)
                    : parsed.flag("undo") || *number ? take_back(*bench, *request, *number, answer)
                                                     : by_points(*bench, *request, streams, answer);
  if (!text) return cli::report_error(streams, text.error());
  return report(streams, parsed.flag("json"), answer, *text);
}

std::vector<cli::OptionSpec> options() {
  std::vector<cli::OptionSpec> all = store_options();
  const std::vector<cli::OptionSpec> own{
      {.name = "ice", .help = "a point in melting ice, 0 degC"},
      {.name = "steam", .help = "a point in steam, at the air pressure given"},
      {.name = "pressure-hPa",
       .value_name = "P",
       .help = "air pressure at the bench, not reduced to sea level"},
      {.name = "u-pressure-hPa",
       .value_name = "U",
       .help = "its standard uncertainty",
       .default_text = "1"},
      {.name = "reference-degC",
       .value_name = "T",
       .help = "a point beside a reference thermometer that shows T",
       .repeatable = true},
      {.name = "u-mK",
       .value_name = "U",
       .help = "standard uncertainty of the points; without it 5 for ice, 50 for a reference, and "
               "what the pressure gives for steam"},
      {.name = "offset", .help = "fit an offset, whatever the points allow"},
      {.name = "line", .help = "fit a line; usual from two points 5 K apart on"},
      {.name = "compare", .value_name = "OTHER", .help = "against another probe in one vessel"},
      {.name = "apply", .help = "with --compare: correct by the difference"},
      {.name = "lag", .help = "a plunge test for the time constant"},
      {.name = "list", .help = "show what is stored; needs no daemon"},
      {.name = "undo", .help = "take the newest change of the probe's correction back"},
      {.name = "again", .value_name = "NUMBER", .help = "let this older calibration hold again"},
      {.name = "average-s",
       .value_name = "S",
       .help = "how long a point is averaged",
       .default_text = "60"},
      {.name = "patience-s",
       .value_name = "S",
       .help = "how long to wait for a steady probe",
       .default_text = "1800"},
      {.name = "note", .value_name = "TEXT", .help = "kept beside the calibration"},
      {.name = "yes", .help = "ask nothing; wait until the probe is moved and steady"},
      json_option()};
  all.insert(all.end(), own.begin(), own.end());
  return all;
}

}  // namespace

cli::CommandSpec calibrate_command() {
  cli::CommandSpec command;
  command.name = "calibrate";
  command.summary = "calibrate a probe; from then on its readings are corrected";
  command.description = {
      "Holds a probe of the running bench against points whose temperature is known, waits until "
      "it "
      "is steady, averages, fits an offset or a line, and stores it with its uncertainty. From "
      "then "
      "on the daemon corrects the probe's readings (the raw values stay as they came), and every "
      "record carries the calibration. Without a point among the options it asks for one after the "
      "other.",
      "Nothing is lost: the newest calibration of a probe holds, and an older one can be taken "
      "again. Two probes compared in one vessel may be made to agree (--apply); of the cup's and "
      "the second vessel's it is always the latter that is corrected. A change is refused while a "
      "run is under way; a run that is "
      "found while the probe is carried between the points is dropped.",
      "Steam and hot water scald, glass breaks, and wet floors are slippery. Wear eye protection; "
      "the local rules and the responsible teacher decide what is done and how."};
  command.options = options();
  command.arguments = {{"PROBE", "its name in the bench file", 0, 1}};
  command.examples = {
      {"nestcup calibrate cup", "asks for the points one after the other"},
      {"nestcup calibrate cup --ice", "an offset from melting ice"},
      {"nestcup calibrate cup --ice --steam --pressure-hPa 1009.2", "a line from two points"},
      {"nestcup calibrate cup --reference-degC 25.04 --u-mK 20", "beside a thermometer"},
      {"nestcup calibrate added --compare cup --apply", "lets both show the same"},
      {"nestcup calibrate cup --lag", "how fast the probe follows"},
      {"nestcup calibrate --list", "everything that is stored"}};
  command.exit_notes = {{65, "a point is off by more than any usable probe"},
                        {66, "no such probe or calibration"},
                        {69, "no daemon runs at this bench"},
                        {75, "the probe did not become steady, or a run is under way"}};
  command.run = calibrate;
  return command;
}

}  // namespace nestcup
