// What a terminal shows of a bench, in words: the same facts as the live page.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tools/cli/output.hpp"
#include "tools/watch/plot.hpp"
#include "tools/watch/snapshot.hpp"
#include "tools/watch/words.hpp"

namespace nestcup::watch {

struct ProbeView {
  std::string title;        ///< "Cup"; the probe's name where two have the same role
  std::string temperature;  ///< "29.46", or a dash
  std::string state;        ///< "steady for 1:23"
  cli::Tone tone = cli::Tone::plain;
};

/// The run under way.
struct RunView {
  std::string period;
  std::string since;  ///< the mixing; empty while there is no run, and so are the others then
  std::string next;   ///< timed reading
  std::string rise;
  std::string surer;               ///< whether going on pays
  std::vector<std::string> timed;  ///< readings, the newest last
};

struct BenchView {
  std::string title;
  std::string link;
  cli::Tone link_tone = cli::Tone::plain;
  std::string trial;  ///< the next one; empty where there is no sheet
  std::string advice;
  std::vector<ProbeView> probes;
  RunView run;
  std::vector<std::string> problems;
  std::vector<PlotCurve> curves;
  double curves_min = 0.0;  ///< so far back they are to be shown
};

/// @param span_min  of the curves; less where there is nothing before
[[nodiscard]] BenchView view_of(const Snapshot& snapshot, const Words& words, double span_min);

/// What a probe is called, what it reads and how it stands.
[[nodiscard]] ProbeView probe_view(const nlohmann::json& status, std::size_t place,
                                   const Words& words, TimeUs now_us);
/// What to do next, in the terminal's language.
[[nodiscard]] std::string advice_text(const nlohmann::json& advice, const Words& words);
/// "Main period"
[[nodiscard]] std::string period_text(const nlohmann::json& run, const Words& words);
/// The rise so far, or why there is none.
[[nodiscard]] std::string rise_text(const nlohmann::json& run, const Words& words);

}  // namespace nestcup::watch
