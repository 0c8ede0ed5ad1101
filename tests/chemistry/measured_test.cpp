#include "core/chemistry/measured.hpp"

#include <array>
#include <cmath>

#include "core/chemistry/pooling.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

Measured make(Inputs& inputs, double value, double u, std::optional<double> dof = {},
              ErrorSource source = ErrorSource::temperature) {
  return Measured::of(value, inputs.add({"input", source, dof}), u);
}

}  // namespace

TEST_CASE("sums, products and quotients of independent values, by the law of propagation") {
  // JCGM 100:2008, 5.1.2 and 5.1.6: sums add variances, products relative variances.
  Inputs inputs;
  const Measured a = make(inputs, 12.0, 0.3);
  const Measured b = make(inputs, -5.0, 0.4);
  CHECK((a + b).value() == 7.0);
  CHECK((a + b).u() == Approx(0.5));
  CHECK((a - b).u() == Approx(0.5));
  const double relative = std::hypot(0.3 / 12.0, 0.4 / 5.0);
  CHECK((a * b).u() == Approx(60.0 * relative));
  CHECK((a / b).u() == Approx(2.4 * relative));
  CHECK((-a).u() == Approx(0.3));
  CHECK((2.0 * a + 1.0).u() == Approx(0.6));
}

TEST_CASE("what two values share is counted once") {
  Inputs inputs;
  const Measured a = make(inputs, 12.0, 0.3);
  CHECK((a - a).u() == 0.0);
  CHECK((a + a).u() == Approx(0.6));
  CHECK((a / a).u() == Approx(0.0).margin(1e-15));
  CHECK((a * a).u() == Approx(2.0 * 12.0 * 0.3));
  const Measured b = make(inputs, 3.0, 0.1);
  CHECK(covariance(a + b, a - b) == Approx(0.09 - 0.01));
  CHECK(covariance(a, b) == 0.0);
}

TEST_CASE("resistance and reactance from the same readings: JCGM 100:2008, H.2") {
  // Table H.2: five simultaneous readings of V (V), I (mA) and phi (rad); table H.3: the results.
  // Figures of both tables from memory.
  const std::array<std::array<double, 5>, 3> readings{{{5.007, 4.994, 5.005, 4.990, 4.999},
                                                       {19.663, 19.639, 19.640, 19.685, 19.678},
                                                       {1.0456, 1.0438, 1.0468, 1.0428, 1.0433}}};
  // A mean is off as its five readings are: deviations over the root of n (n - 1) have its variance
  // and its covariances with the others.
  Inputs inputs;
  std::array<Measured, 3> means;
  std::array<InputId, 5> sets{};
  for (InputId& set : sets) set = inputs.add({"a set of readings"});
  for (std::size_t quantity = 0; quantity < 3; ++quantity) {
    double mean = 0.0;
    for (const double reading : readings[quantity]) mean += reading / 5.0;
    means[quantity] = mean;
    for (std::size_t i = 0; i < 5; ++i) {
      const double by = (readings[quantity][i] - mean) / std::sqrt(5.0 * 4.0);
      means[quantity] += by * Measured::of(0.0, sets[i], 1.0);
    }
  }
  const Measured R = propagate(
      means, [](std::span<const double> at) { return 1e3 * at[0] / at[1] * std::cos(at[2]); });
  const Measured X = propagate(
      means, [](std::span<const double> at) { return 1e3 * at[0] / at[1] * std::sin(at[2]); });
  const Measured Z = 1e3 * means[0] / means[1];
  CHECK(means[0].u() == Approx(0.0032).margin(0.00005));
  CHECK(R.value() == Approx(127.732).margin(0.0005));
  CHECK(X.value() == Approx(219.847).margin(0.0005));
  CHECK(Z.value() == Approx(254.260).margin(0.0005));
  CHECK(R.u() == Approx(0.071).margin(0.0005));
  CHECK(X.u() == Approx(0.2956).margin(0.0005));  // printed as 0.295
  CHECK(Z.u() == Approx(0.236).margin(0.0005));
  CHECK(covariance(R, X) / (R.u() * X.u()) == Approx(-0.588).margin(0.0005));
  CHECK(covariance(R, Z) / (R.u() * Z.u()) == Approx(-0.485).margin(0.0005));
  CHECK(covariance(X, Z) / (X.u() * Z.u()) == Approx(0.993).margin(0.0005));
}

TEST_CASE("a function that ends on one side takes its slope from the other") {
  Inputs inputs;
  const Measured a = make(inputs, 0.05, 0.1);
  const auto root = [](double x) { return x < 0.0 ? std::nan("") : x; };
  CHECK(propagate(a, root).u() == Approx(0.1));
  const auto nowhere = [](double x) { return x == 0.05 ? 1.0 : std::nan(""); };
  CHECK(propagate(a, nowhere).u() == 0.0);
}

TEST_CASE("effective degrees of freedom: JCGM 100:2008, G.4.1, the example of a product") {
  // y = b x1 x2 x3 with relative u of 0.25, 0.57 and 0.82 % from 10, 5 and 15 readings: 19.0.
  Inputs inputs;
  const Measured y = make(inputs, 1.0, 0.0025, 9.0) * make(inputs, 1.0, 0.0057, 4.0) *
                     make(inputs, 1.0, 0.0082, 14.0);
  const Uncertain result = uncertain(y, inputs);
  CHECK(result.u == Approx(0.0103).margin(0.00005));
  REQUIRE(result.dof);
  CHECK(*result.dof == Approx(19.0).margin(0.1));
  CHECK_FALSE(uncertain(make(inputs, 1.0, 0.1), inputs).dof);
}

TEST_CASE("a budget names its sources, the largest first, and its squares add up") {
  Inputs inputs;
  const Measured sum = make(inputs, 1.0, 0.1) + make(inputs, 1.0, 0.2) +
                       make(inputs, 1.0, 0.5, {}, ErrorSource::volume);
  const auto lines = budget(sum, inputs);
  REQUIRE(lines.size() == 2);
  CHECK(lines[0].source == ErrorSource::volume);
  CHECK(lines[1].u == Approx(std::sqrt(0.05)));
  CHECK(std::hypot(lines[0].u, lines[1].u) == Approx(sum.u()));
}

TEST_CASE("inputs of one key are one input") {
  Inputs inputs;
  const InputId one = inputs.shared("cylinder", {"cylinder", ErrorSource::volume, {}});
  CHECK(inputs.shared("cylinder", {"cylinder", ErrorSource::volume, {}}) == one);
  CHECK(inputs.shared("pipette", {"pipette", ErrorSource::volume, {}}) != one);
  CHECK(inputs.is_shared(one));
  CHECK_FALSE(inputs.is_shared(inputs.add({"own"})));
}

TEST_CASE("repeats that agree are weighted by what is their own; what they share stays") {
  Inputs inputs;
  const Measured shared = make(inputs, 0.0, 0.5);
  const std::array<Measured, 2> repeats{make(inputs, 10.0, 0.1) + shared,
                                        make(inputs, 10.2, 0.2) + shared};
  const Pooled pooled = pool(repeats, "x", inputs);
  CHECK(pooled.consistent());
  CHECK(pooled.mean.value() == Approx((10.0 * 4 + 10.2) / 5));
  CHECK(pooled.mean.variance() == Approx(0.25 + 1.0 / (100.0 + 25.0)));
  CHECK(pooled.chi_squared == Approx(0.04 / 0.05));
  // P(chi-squared > 0.8, 1 dof) = erfc(sqrt(0.4)).
  CHECK(pooled.probability == Approx(std::erfc(std::sqrt(0.4))));
}

TEST_CASE("repeats that disagree get a variance between them, until chi-squared is n - 1") {
  Inputs inputs;
  const std::array<Measured, 3> repeats{make(inputs, 10.0, 0.1), make(inputs, 11.0, 0.1),
                                        make(inputs, 12.5, 0.1)};
  const Pooled pooled = pool(repeats, "x", inputs);
  CHECK_FALSE(pooled.consistent());
  const double mean = 33.5 / 3.0;
  const double variance =
      (std::pow(10.0 - mean, 2) + std::pow(11.0 - mean, 2) + std::pow(12.5 - mean, 2)) / 2.0;
  CHECK(pooled.mean.value() == Approx(mean));
  CHECK(pooled.scatter * pooled.scatter + 0.01 == Approx(variance));
  CHECK(pooled.mean.variance() == Approx(variance / 3.0));
  const auto dof = uncertain(pooled.mean, inputs).dof;
  REQUIRE(dof);
  CHECK(*dof == Approx(2.0).epsilon(0.02));
}

TEST_CASE("repeats without an uncertainty are judged by their scatter alone") {
  Inputs inputs;
  const std::array<Measured, 2> repeats{Measured(4.0), Measured(6.0)};
  const Pooled pooled = pool(repeats, "x", inputs);
  CHECK(pooled.mean.value() == Approx(5.0));
  CHECK(pooled.mean.u() == Approx(std::sqrt(2.0) / std::sqrt(2.0)));
  const std::array<Measured, 2> alike{Measured(4.0), Measured(4.0)};
  CHECK(pool(alike, "x", inputs).mean.u() == 0.0);
}
