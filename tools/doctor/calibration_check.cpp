// Ages of the probes' calibrations.
#include <fmt/format.h>

#include "core/base/time_text.hpp"
#include "core/store/store.hpp"
#include "tools/doctor/checks.hpp"

namespace nestcup::doctor {
namespace {

Check age_check(const ProbeSettings& probe, const HeldCalibration& held, const Bench& bench) {
  Check check{"probe " + probe.name, Verdict::ok, "", ""};
  if (!held.correction) {
    check.what = "is read as it is, without a calibration";
    return check;
  }
  const double age_s = to_s(bench.now_us - held.correction->wall_us);
  const double limit_days = bench.file.calibration_max_age_days;
  check.what = fmt::format("was calibrated on {} ({} ago)",
                           rfc3339(held.correction->wall_us).substr(0, 10), span_text(age_s));
  if (age_s > limit_days * 86'400.0) {
    check.verdict = Verdict::note;
    check.what += fmt::format(", more than the {:.0f} days of the bench file", limit_days);
    check.remedy = fmt::format("nestcup calibrate {}", probe.name);
  }
  return check;
}

}  // namespace

Checks calibration_checks(const Bench& bench) {
  const auto store = Store::open(bench.file.store, StoreMode::read);
  if (!store) return {};  // told by store_checks
  Checks checks;
  for (const ProbeSettings& probe : bench.file.probes) {
    const auto held = store->held_calibration(probe.name);
    if (held) {
      checks.push_back(age_check(probe, *held, bench));
    } else {
      checks.push_back({"probe " + probe.name, Verdict::trouble, held.error().text,
                        "see what the check of the store says"});
    }
  }
  return checks;
}

}  // namespace nestcup::doctor
