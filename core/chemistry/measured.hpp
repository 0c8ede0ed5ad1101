// A number that remembers what it comes from, so that errors which results share are counted once.
//
// Law of propagation of uncertainty, JCGM 100:2008 (GUM), 5.1.2 and, for what shares inputs, 5.2.2
// with F.1.2.3: every result is followed back to independent inputs, whose contributions add.
#pragma once

#include <functional>
#include <span>
#include <vector>

#include "core/base/uncertain.hpp"
#include "core/chemistry/inputs.hpp"

namespace nestcup {

/// By how much a value is off where an input is off by its standard uncertainty (signed).
struct Effect {
  InputId input = 0;
  double by = 0.0;
};

/// A value to first order in its inputs.
class Measured {
 public:
  /// A value without error.
  Measured(double exact = 0.0) : value_(exact) {}
  /// A value that is off by one input alone. @param u  its standard uncertainty, >= 0
  [[nodiscard]] static Measured of(double value, InputId input, double u);

  [[nodiscard]] double value() const { return value_; }
  [[nodiscard]] double variance() const;
  [[nodiscard]] double u() const;
  /// By rising input; none is 0.
  [[nodiscard]] const std::vector<Effect>& effects() const { return effects_; }

  Measured& operator+=(const Measured& other);
  Measured& operator-=(const Measured& other);
  Measured& operator*=(const Measured& other);
  /// @param other  not 0
  Measured& operator/=(const Measured& other);
  [[nodiscard]] Measured operator-() const;

 private:
  friend Measured propagate(std::span<const Measured> arguments,
                            const std::function<double(std::span<const double>)>& f);
  double value_;
  std::vector<Effect> effects_;
};

[[nodiscard]] inline Measured operator+(Measured a, const Measured& b) {
  return a += b;
}
[[nodiscard]] inline Measured operator-(Measured a, const Measured& b) {
  return a -= b;
}
[[nodiscard]] inline Measured operator*(Measured a, const Measured& b) {
  return a *= b;
}
[[nodiscard]] inline Measured operator/(Measured a, const Measured& b) {
  return a /= b;
}

/// f of the arguments. Each input in turn is put off by its standard uncertainty to either side, in
/// all arguments at once: arguments that belong together (the ions of one salt) stay together, and
/// the slopes are those of the range that matters.
/// @param f  smooth; not finite where it is not defined, which may be on one side
[[nodiscard]] Measured propagate(std::span<const Measured> arguments,
                                 const std::function<double(std::span<const double>)>& f);
[[nodiscard]] Measured propagate(const Measured& argument, const std::function<double(double)>& f);

/// Of two results: 0 where they share no input.
[[nodiscard]] double covariance(const Measured& a, const Measured& b);

/// With effective degrees of freedom after Welch and Satterthwaite (JCGM 100:2008, G.4.1).
[[nodiscard]] Uncertain uncertain(const Measured& measured, const Inputs& inputs);

/// A line of a budget: what one source brings in.
struct SourceShare {
  ErrorSource source = ErrorSource::temperature;
  double u = 0.0;  ///< > 0, in the unit of the result
};

/// By source, the largest first; the squares add up to the result's variance.
[[nodiscard]] std::vector<SourceShare> budget(const Measured& measured, const Inputs& inputs);

}  // namespace nestcup
