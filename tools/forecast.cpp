// nestcup forecast: what the trials of a sheet should show, before the lab.
#include "tools/forecast/forecast.hpp"

#include <fmt/format.h>

#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/forecast/forecast_page.hpp"
#include "tools/forecast/request.hpp"

namespace nestcup {
namespace {

using Json = nlohmann::ordered_json;

int run_forecast(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto request = forecast::read_request(parsed);
  if (!request) return cli::report_error(streams, request.error());
  const auto progress = [&](const std::string& trial) {
    streams.err << fmt::format("{}: rehearsing {}\n", streams.program, trial) << std::flush;
  };
  const auto made = forecast::make_forecast(request->plan, request->only, progress);
  if (parsed.flag("json")) {
    // A file's name may be no UTF-8.
    streams.out
        << forecast_json(made, *request).dump(-1, ' ', false, Json::error_handler_t::replace)
        << '\n';
  } else {
    streams.out << forecast_page(made, *request, streams.colour);
  }
  return 0;
}

}  // namespace

cli::CommandSpec forecast_command() {
  cli::CommandSpec command;
  command.name = "forecast";
  command.summary = "what a sheet's trials should show, and how well it will be known";
  command.description = {
      "For each trial: the rise to expect with its sign, the temperatures, what runs out first; "
      "how "
      "well rise and result will be known, and what that mostly comes from; how long an after "
      "period pays; which amount, instrument or stock would be worth a change; and what to look "
      "out for: boiling, freezing, rises too small, a cup too small, gas.",
      "The rise is the heat balance of nestcup results the other way round, with accepted "
      "enthalpies and heat capacities. Uncertainties come from runs that are rehearsed on the "
      "simulated bench and analysed as the daemon does it; planned repeats count. What is taken "
      "for "
      "granted stands at the end. Local rules and the responsible teacher decide what is done."};
  command.options = forecast::request_options();
  command.arguments = {{"SHEET", "the sheet", 1, 1, {cli::Hint::file}}};
  command.examples = {
      {"nestcup forecast sheet.toml", "with a usual bench"},
      {"nestcup forecast sheet.toml --bench bench.toml", "with this bench's probes"},
      {"nestcup forecast sheet.toml --trial oxide --enthalpy oxide=-151+-1",
       "one trial, with an enthalpy of one's own"},
      {"nestcup forecast sheet.toml --step-K 0.1 --noise-K 0.02", "with a coarse display"}};
  command.exit_notes = {{65, "something is wrong with the sheet"},
                        {66, "no such sheet or bench file"},
                        {78, "something is wrong with the bench file"}};
  command.run = run_forecast;
  return command;
}

}  // namespace nestcup
