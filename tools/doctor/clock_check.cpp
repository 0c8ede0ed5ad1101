// The machine's clock.
#include <fmt/format.h>
#include <sys/timex.h>
#include <time.h>

#include <cmath>
#include <fstream>

#include "core/store/store.hpp"
#include "tools/doctor/checks.hpp"

namespace nestcup::doctor {
namespace {

/// What a synchronised clock is mended by without anybody noticing.
constexpr double usual_step_s = 2.0;

std::optional<bool> kernel_synchronised() {
  timex query{};
  const int state = adjtimex(&query);  // modes 0: only asks
  if (state < 0) return std::nullopt;
  return state != TIME_ERROR && (query.status & STA_UNSYNC) == 0;
}

TimeUs boot_clock_us() {
  timespec now{};
  clock_gettime(CLOCK_BOOTTIME, &now);
  return static_cast<TimeUs>(now.tv_sec) * us_per_s + now.tv_nsec / 1000;
}

ClockFacts facts_of(const Bench& bench) {
  ClockFacts facts;
  facts.synchronised = kernel_synchronised();
  const auto store = Store::open(bench.file.store, StoreMode::read);
  if (!store) return facts;
  const auto session = store->last_session();
  if (!session || !*session || (*session)->speed != 1.0) return facts;
  std::ifstream file(bench.machine.processes + "/sys/kernel/random/boot_id");
  std::string boot_id;
  if (std::getline(file, boot_id) && boot_id == (*session)->boot_id) {
    const TimeUs since_us = boot_clock_us() - (*session)->machine_us;
    facts.stepped_s = to_s(bench.now_us - (*session)->wall_us - since_us);
  }
  const auto newest = store->last_reading_us();
  // The axis follows the wall clock from the session's anchor on.
  if (newest && *newest) {
    facts.before_newest_s =
        to_s(**newest - (*session)->axis_us + (*session)->wall_us - bench.now_us);
  }
  return facts;
}

}  // namespace

Checks judge_clock(const ClockFacts& facts) {
  Checks checks;
  if (facts.before_newest_s && *facts.before_newest_s > 60.0) {
    checks.push_back({"clock", Verdict::trouble,
                      fmt::format("the clock is {} behind the store's newest reading: it is wrong, "
                                  "or was when that was taken",
                                  span_text(*facts.before_newest_s)),
                      "set the clock (timedatectl), and see that the machine synchronises it"});
  }
  if (facts.stepped_s && std::abs(*facts.stepped_s) > usual_step_s) {
    checks.push_back({"clock", Verdict::note,
                      fmt::format("the clock was set {} by {} since the daemon's start; curves are "
                                  "not bent by that, but times of day are",
                                  *facts.stepped_s > 0.0 ? "forward" : "back",
                                  span_text(std::abs(*facts.stepped_s))),
                      "start the daemon anew when no run is under way, and it goes by the new "
                      "time"});
  }
  if (!facts.synchronised) {
    checks.push_back({"clock", Verdict::note, "the kernel does not say whether it is synchronised",
                      "timedatectl may tell more"});
  } else if (!*facts.synchronised) {
    checks.push_back({"clock", Verdict::note,
                      "the clock is not synchronised with others; records say so",
                      "let the machine have a time server (systemd-timesyncd), or set it by hand "
                      "now and then"});
  } else if (checks.empty()) {
    checks.push_back({"clock", Verdict::ok, "the clock is synchronised", ""});
  }
  return checks;
}

Checks clock_checks(const Bench& bench) {
  return judge_clock(facts_of(bench));
}

}  // namespace nestcup::doctor
