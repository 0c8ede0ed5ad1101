#include "core/analysis/run/findings.hpp"

#include <fmt/format.h>

#include <array>

namespace nestcup {
namespace {

struct Entry {
  std::string_view code;
  std::string_view text;  ///< {name} stands for the value of that name
};

constexpr std::array catalogue{
    Entry{"no-foreperiod",
          "There are only {readings} readings before the mixing, too few to know the starting "
          "temperature. Let the probe stand in the cup for at least a minute before you pour."},
    Entry{"no-after-period",
          "There are only {readings} readings after the main period, too few to carry the course "
          "back. Leave the probe in the cup for three minutes after mixing."},
    Entry{"short-foreperiod",
          "The foreperiod is only {length_s} s long, so the drift before mixing is poorly known. "
          "Wait a minute or more with a steady reading before you pour."},
    Entry{"foreperiod-not-steady",
          "The first {dropped_s} s of the foreperiod were not steady, off by up to {off_K} K, and "
          "are left out. Wait until liquid and probe have come to the same temperature."},
    Entry{"short-after-period",
          "The after period is only {length_s} s long, so the heat leak is poorly known. Leave the "
          "probe in the cup for three minutes after mixing."},
    Entry{"never-settled",
          "The temperature had not settled to a slow drift when the run ended. Stir evenly and "
          "leave the probe in longer."},
    Entry{
        "mixing-slow",
        "It took {length_s} s until 99 % of the heat was there. Powder the solid (keep dust out of "
        "air and eyes), stir faster or pour more quickly; the longer it takes, the more the heat "
        "leak matters."},
    Entry{"gap-at-mixing",
          "No reading of the cup for {gap_s} s around the mixing, so its time is uncertain. Look "
          "after cable and plug of the probe."},
    Entry{"gap",
          "No reading of the cup for {gap_s} s, from {from_s} s on. Look after cable and plug of "
          "the probe."},
    Entry{"readings-late",
          "{readings} readings of the cup were held back on their way from {from_s} s on, by up to "
          "{held_s} s, and came in a bunch; they count at the times at which they were taken. Look "
          "after cable and hub, and leave the computer no heavy work during a run."},
    Entry{"readings-alike",
          "Neighbouring readings of the cup are alike, so that one in {one_in} counts: the board "
          "averages them, or says each value several times. Let it send each value once, as it was "
          "measured."},
    Entry{"frozen-source",
          "From {from_s} s on all readings were the same to the last digit for {for_s} s, which "
          "noise does not allow: the board repeated its last value. Look after board and probe, "
          "and start the board anew."},
    Entry{"rise-small",
          "The corrected rise is less than ten times its uncertainty. Take more substance or less "
          "liquid."},
    Entry{"leak-unusual",
          "The heat leak of {rate_per_s} per s is larger than a lidded foam cup should have. Put "
          "the lid on and keep the cup out of draughts."},
    Entry{"mark-contradicts-trace",
          "The mark lies {apart_s} s from the start of the rise; the trace's own time is used. "
          "Mark the moment in which the pour begins."},
    Entry{"knocks",
          "{readings} readings stood out alone, {knocks} times, and are left out: the stirrer bar "
          "struck the probe, or a contact is loose. Hang the probe higher, away from the bar."},
    Entry{
        "probe-slow",
        "The probe followed slowly, with delays of {delay_s} s or more. Immerse it well, clear of "
        "bottom and wall, and stir so that liquid flows past it. Set it right before the pour, and "
        "not by hand in a liquid that is hot or corrosive."},
    Entry{
        "probes-disagree",
        "In the same liquid the second vessel's probe shows {offset_K} K more than the cup's. Put "
        "both into one stirred vessel before the work, and set off or calibrate the difference; "
        "it goes into the heat balance of liquids poured together."},
    Entry{"stirring-off",
          "Where only a slow drift should show, the readings wandered by {wander_K} K: the liquid "
          "lay in layers. Stir evenly from the foreperiod to the end, with the stirrer clear of "
          "the probe and the lid on. Do not reach into the cup: it may be hot or corrosive."},
    Entry{"second-mixing",
          "About {after_s} s after the mixing the course set out anew, by {step_K} K: a second "
          "pour, or the probe left the liquid. The rise holds both. Pour in one go and leave the "
          "probe in its place; add the rest only as a run of its own."},
    Entry{"model-does-not-fit",
          "The readings scatter {surplus} times as much about the fitted course as single readings "
          "would. Stir evenly, pour in one go and keep the lid on."},
    Entry{"room-changed",
          "The room changed by {change_K} K during the run, and with it where the cup drifts to. "
          "Keep windows and doors closed and the cup away from heaters and sun."},
    Entry{"cut-short",
          "The course broke off before the after period was complete (another mixing, or the probe "
          "was lifted out); the run ends there. Leave the probe in the cup until the run is done."},
    Entry{"calibration-old",
          "The calibration of a probe was {age_days} days old, and counts for {valid_days}; its "
          "uncertainty may be larger than the budget says. Calibrate it again: nestcup calibrate."},
};

std::string with_values(std::string_view text, const Finding& finding) {
  std::string out(text);
  for (const auto& [name, value] : finding.values) {
    const std::string slot = "{" + name + "}";
    const auto at = out.find(slot);
    if (at != std::string::npos) out.replace(at, slot.size(), fmt::format("{:.3g}", value));
  }
  return out;
}

}  // namespace

std::string_view severity_name(Severity severity) {
  switch (severity) {
    case Severity::note:
      return "note";
    case Severity::warning:
      return "warning";
    case Severity::unusable:
      return "unusable";
  }
  return "note";
}

std::string finding_text(const Finding& finding) {
  for (const Entry& entry : catalogue) {
    if (entry.code == finding.code) return with_values(entry.text, finding);
  }
  return finding.code;
}

std::vector<std::string> finding_codes() {
  std::vector<std::string> codes;
  for (const Entry& entry : catalogue) codes.emplace_back(entry.code);
  return codes;
}

}  // namespace nestcup
