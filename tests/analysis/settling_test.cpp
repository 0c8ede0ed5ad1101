// Where a curve has settled.
#include "core/analysis/readings/settling.hpp"

#include "tests/analysis/newton_cup.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

TEST_CASE("plain drift is settled from its first reading") {
  NewtonCup cup;
  cup.releases.clear();
  const double step_K = GENERATE(0.0, 0.01, 0.1);
  int early = 0;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const Curve curve = with_noise(newton_curve(cup), 0.01, step_K, seed);
    const auto settled = settled_from(curve, estimate_noise(curve));
    REQUIRE(settled);
    early += *settled <= 5.0;
  }
  CHECK(early >= 18);
}

TEST_CASE("an approach is settled once its rest hides in the noise") {
  NewtonCup cup;
  cup.mixing_s = 0.0;
  cup.releases = {{6.0, GENERATE(2.0, 5.0, 12.0)}};
  const double delay_s = cup.releases[0].delay_s;
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    const Curve curve = with_noise(newton_curve(cup), 0.01, 0.01, seed);
    const auto settled = settled_from(curve, Noise{0.01, 0.01});
    REQUIRE(settled);
    // 6 K have fallen to 0.1 K after 4.1 delays and to 1 mK after 8.7.
    CHECK(*settled > 4.1 * delay_s);
    CHECK(*settled < 8.7 * delay_s + 5.0);
  }
}

TEST_CASE("a lone knock in the drift does not unsettle it") {
  NewtonCup cup;
  cup.releases.clear();
  Curve curve = with_noise(newton_curve(cup), 0.01, 0.01, 3);
  curve[300].temperature_degC += 0.6;
  const auto settled = settled_from(curve, Noise{0.01, 0.01});
  REQUIRE(settled);
  CHECK(*settled < 10.0);
}

TEST_CASE("what is too short or still on its way has not settled") {
  NewtonCup cup;
  cup.mixing_s = 0.0;
  cup.releases = {{20.0, 15.0}};
  cup.end_s = 60.0;
  CHECK_FALSE(settled_from(newton_curve(cup), Noise{1e-4, 0.0}));
  cup.releases.clear();
  cup.end_s = 15.0;
  CHECK_FALSE(settled_from(newton_curve(cup), Noise{0.01, 0.0}));
  CHECK_FALSE(settled_from({}, Noise{0.01, 0.0}));
}
