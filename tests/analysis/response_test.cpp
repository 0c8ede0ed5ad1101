// The closed form of the probe's answer against plain numerical convolution; the fit with it.
#include "core/analysis/response.hpp"

#include <cmath>

#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// Two first-order delays driven by an even pour, by the midpoint rule in 1 ms steps.
double convolved(double since_s, double pour_s, double first_s, double second_s) {
  constexpr double step_s = 1e-3;
  double first = 0.0, second = 0.0;
  const int steps = static_cast<int>(std::round(since_s / step_s));
  for (int i = 0; i < steps; ++i) {
    const double poured = std::min(1.0, (i + 0.5) * step_s / pour_s);
    const double first_middle = first + 0.5 * step_s * (poured - first) / first_s;
    second += step_s * (first_middle - second - 0.5 * step_s * (first_middle - second) / second_s) /
              second_s;
    first += step_s * (poured - first_middle) / first_s;
  }
  return second;
}

}  // namespace

TEST_CASE("the response is the pour seen through both delays") {
  const double pour_s = GENERATE(0.5, 2.5, 20.0);
  const double first_s = GENERATE(0.5, 4.0);
  const double second_s = GENERATE(1.0, 4.0, 15.0);
  for (const double since_s : {0.3, 1.0, 3.0, 10.0, 40.0}) {
    INFO(pour_s << " " << first_s << " " << second_s << " " << since_s);
    // Equal delays are set a thousandth apart.
    CHECK_THAT(response(since_s, pour_s, first_s, second_s),
               WithinAbs(convolved(since_s, pour_s, first_s, second_s), 3e-4));
  }
}

TEST_CASE("the response is 0 before the pour, symmetric in the delays, and ends at 1") {
  CHECK(response(-1.0, 2.0, 3.0, 4.0) == 0.0);
  CHECK(response(0.0, 2.0, 3.0, 4.0) == 0.0);
  CHECK_THAT(response(7.0, 2.0, 3.0, 4.0), WithinAbs(response(7.0, 2.0, 4.0, 3.0), 1e-12));
  CHECK_THAT(response(300.0, 2.0, 3.0, 4.0), WithinAbs(1.0, 1e-12));
  double before = 0.0;
  for (double t = 0.1; t < 30.0; t += 0.1) {
    const double here = response(t, 2.0, 3.0, 3.0);
    CHECK(here > before);
    before = here;
  }
}

TEST_CASE("the fit finds time and rise of its own response") {
  const double rise_K = GENERATE(6.0, -2.0);
  Curve course;
  for (int i = 0; i < 240; ++i) {
    const double time_s = 0.5 * i;
    course.push_back({time_s, rise_K * response(time_s - 60.3, 2.0, 2.0, 5.0)});
  }
  const MixingFit fit =
      fit_mixing(with_noise(course, 0.005, 0.0, 5), 62.0, rise_K, Noise{0.005, 0.0});
  CHECK_THAT(fit.time_s, WithinAbs(60.3, std::max(0.15, 3.0 * fit.u_time_s)));
  CHECK_THAT(fit.rise_K, WithinAbs(rise_K, 0.01));
  CHECK_THAT(fit.sd_K, WithinRel(0.005, 0.2));
  CHECK(fit.u_time_s < 0.5);
}
