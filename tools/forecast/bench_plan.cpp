#include "tools/forecast/bench_plan.hpp"

namespace nestcup::forecast {

BenchPlan plan_of(const BenchFile& bench) {
  BenchPlan plan;
  plan.interval_s = bench.interval_s;
  plan.after_period_s = bench.after_period_s;
  plan.has_added = plan.has_room = false;
  plan.cup_tolerance_K = plan.added_tolerance_K = 0.0;
  for (const ProbeSettings& probe : bench.probes) {
    const double tolerance_K = probe.tolerance_K.value_or(0.0);
    switch (probe.role) {
      case ProbeRole::cup:
        plan.cup_tolerance_K = tolerance_K;
        break;
      case ProbeRole::added:
        plan.has_added = true;
        plan.added_tolerance_K = tolerance_K;
        break;
      case ProbeRole::room:
        plan.has_room = true;
        break;
      case ProbeRole::other:
        break;
    }
  }
  plan.one_probe = !plan.has_added;
  return plan;
}

}  // namespace nestcup::forecast
