// The closed form of the probe's answer against plain numerical integration.
#include "core/analysis/course/pour_response.hpp"

#include <cmath>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

struct HeatStages {
  double waiting = 0.0, cup = 0.0, probe = 0.0;
};

/// A ramp of heat through release, leaking cup and lagging probe: midpoint rule in 1 ms steps.
double integrated(double since_s, const ResponseTimes& times) {
  constexpr double step_s = 1e-3;
  const auto rates = [&](double time_s, const HeatStages& at) {
    const double arriving = time_s < times.pour_s ? 1.0 / times.pour_s : 0.0;
    const double released = at.waiting / times.release_s;
    return HeatStages{arriving - released, released - times.rate_per_s * at.cup,
                      (at.cup - at.probe) / times.lag_s};
  };
  const auto ahead = [](const HeatStages& at, const HeatStages& rate, double by_s) {
    return HeatStages{at.waiting + by_s * rate.waiting, at.cup + by_s * rate.cup,
                      at.probe + by_s * rate.probe};
  };
  HeatStages state;
  const int steps = static_cast<int>(std::round(since_s / step_s));
  for (int i = 0; i < steps; ++i) {
    const double middle_s = (i + 0.5) * step_s;
    const HeatStages half = ahead(state, rates(middle_s, state), 0.5 * step_s);
    state = ahead(state, rates(middle_s, half), step_s);
  }
  return state.probe;
}

}  // namespace

TEST_CASE("the share is the pour seen through release, leak and lag") {
  const double pour_s = GENERATE(0.5, 2.5, 20.0);
  const double release_s = GENERATE(0.5, 4.0, 25.0);
  const double lag_s = GENERATE(1.0, 4.0, 10.0);
  const ResponseTimes times{pour_s, release_s, lag_s, 8e-4};
  const PourResponse response(times);
  for (const double since_s : {0.3, 1.0, 3.0, 10.0, 40.0, 100.0}) {
    INFO(pour_s << " " << release_s << " " << lag_s << " " << since_s);
    CHECK_THAT(response.at(since_s).value, WithinAbs(integrated(since_s, times), 3e-6));
  }
}

TEST_CASE("before the pour there is nothing, long behind it the settled share") {
  const PourResponse response({2.0, 3.0, 4.0, 3e-4});
  CHECK(response.at(-1.0).value == 0.0);
  CHECK(response.at(0.0).value == 0.0);
  CHECK_THAT(response.at(250.0).value, WithinAbs(response.settled(250.0), 1e-12));
  // Carried back, the settled share exceeds 1 by what had no time to leak: k (pour/2 + release +
  // lag), to first order.
  CHECK_THAT(response.settled(0.0), WithinAbs(1.0 + 3e-4 * (1.0 + 3.0 + 4.0), 5e-6));
}

TEST_CASE("the share's derivatives are those of its value") {
  const ResponseTimes times{GENERATE(0.8, 4.0), GENERATE(0.6, 3.0, 3.0005), 3.0, 5e-4};
  const PourResponse response(times);
  for (const double since_s : {0.4, 2.0, 6.0, 30.0, 200.0}) {
    INFO(times.pour_s << " " << times.release_s << " " << since_s);
    const Share share = response.at(since_s);
    constexpr double by = 1e-4;
    const auto slope = [&](double ResponseTimes::*which) {
      ResponseTimes up = times, down = times;
      up.*which *= std::exp(by);
      down.*which *= std::exp(-by);
      return (PourResponse(up).at(since_s).value - PourResponse(down).at(since_s).value) /
             (2.0 * by);
    };
    const double by_time =
        (response.at(since_s + by).value - response.at(since_s - by).value) / (2.0 * by);
    CHECK_THAT(share.by_time_per_s, WithinAbs(by_time, 1e-6));
    CHECK_THAT(share.by_log_pour, WithinAbs(slope(&ResponseTimes::pour_s), 1e-6));
    CHECK_THAT(share.by_log_rate, WithinAbs(slope(&ResponseTimes::rate_per_s), 1e-6));
    // Equal delays are set apart, which shifts their slopes a little.
    CHECK_THAT(share.by_log_release, WithinAbs(slope(&ResponseTimes::release_s), 1e-3));
    CHECK_THAT(share.by_log_lag, WithinAbs(slope(&ResponseTimes::lag_s), 1e-3));
  }
}
