// How the heat of a solid comes over the time that it takes to react away or dissolve.
#pragma once

#include "sim/scenario.hpp"

namespace nestcup::sim {

/// The share of a portion's heat that is set free, over the time since it was put in. Sheets, rods
/// and grains dwindle by what is left of their surface: after the part x of their time 1 - (1 -
/// x)^n of the heat is there, n being the number of dimensions that shrink. What is skinned comes
/// free of its skin first and is fastest halfway: a logistic course with a tenth of its time as
/// scale, from end to end of that time. Before the time begins the share is 0, behind its end 1.
class SolidCourse {
 public:
  /// @param solid not Solid::none
  SolidCourse(Solid solid, double length_s) : solid_(solid), length_s_(length_s) {}

  [[nodiscard]] double share(double since_s) const;
  /// Slope of the share within the solid's time, 1/s.
  [[nodiscard]] double per_s(double since_s) const;
  /// Integral of the share from the beginning, s.
  [[nodiscard]] double sum_s(double since_s) const;
  /// A time over which its rate changes much, s; 0 where nothing but its end limits a step.
  [[nodiscard]] double shortest_s() const;

 private:
  [[nodiscard]] double dimensions() const { return static_cast<double>(solid_); }
  [[nodiscard]] double part(double since_s) const;

  Solid solid_;
  double length_s_;
};

}  // namespace nestcup::sim
