// USB adapters that may be put to sleep, or hold bytes back.
#include <fmt/format.h>

#include "drivers/line/adapter_upkeep.hpp"
#include "tools/doctor/checks.hpp"

namespace nestcup::doctor {
namespace {

/// Shorter ones are lost beside what an answer takes.
constexpr int usual_latency_ms = 2;

Check latency_check(const PortSettings& port, int latency_ms) {
  Check check{"adapter " + port.name, Verdict::ok, "", ""};
  const bool late = latency_ms > usual_latency_ms;
  check.what = fmt::format("its adapter holds bytes back for up to {} ms{}", latency_ms,
                           !late              ? ""
                           : port.is_polled() ? ", which each question waits for"
                                              : ", which is no matter where a device sends by "
                                                "itself a few times a second");
  if (late && port.is_polled()) {
    check.verdict = Verdict::note;
    check.remedy = "install 69-nestcup.rules, which sets the latency timer to 1 ms";
  }
  return check;
}

}  // namespace

Checks adapter_checks(const Bench& bench) {
  Checks checks;
  for (const PortSettings& port : bench.file.ports) {
    const auto upkeep = drivers::adapter_upkeep(port.device, bench.machine.sysfs);
    if (upkeep.may_sleep == true) {
      checks.push_back({"adapter " + port.name, Verdict::note,
                        "the system may put its adapter to sleep, after which some are silent "
                        "until something is sent",
                        "install 69-nestcup.rules, or write \"on\" to the adapter's power/control "
                        "in /sys"});
    } else if (upkeep.may_sleep == false) {
      checks.push_back({"adapter " + port.name, Verdict::ok, "its adapter is kept awake", ""});
    }
    if (upkeep.latency_ms) checks.push_back(latency_check(port, *upkeep.latency_ms));
  }
  return checks;
}

}  // namespace nestcup::doctor
