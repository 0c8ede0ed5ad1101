#include "drivers/transducer/thermocouple.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <vector>

#include "drivers/transducer/thermocouple_tables.hpp"

namespace nestcup::drivers {

namespace {

constexpr double type_b_lowest_measured_degC = 50.0;
/// Steps of the table from which the way back starts: some 6 K wide, so that two or three Newton
/// steps are enough.
constexpr int knots_per_type = 256;
/// Newton's error is squared by each step: behind one as small as this there is only rounding.
constexpr double last_step_K = 1e-7;

struct EmfAndSlope {
  double emf_uV;
  double slope_uV_per_K;
};

EmfAndSlope evaluate(const EmfPiece& piece, double degC) {
  double emf = 0.0;
  double slope = 0.0;
  for (std::size_t i = piece.coefficients.size(); i-- > 0;) {
    slope = slope * degC + emf;
    emf = emf * degC + piece.coefficients[i];
  }
  if (piece.bell) {
    constexpr double height_uV = 118.5976;
    constexpr double width_per_K2 = -1.183432e-4;
    const double from_middle = degC - 126.9686;
    const double bell = height_uV * std::exp(width_per_K2 * from_middle * from_middle);
    emf += bell;
    slope += 2.0 * width_per_K2 * from_middle * bell;
  }
  return {emf, slope};
}

/// At a joint the lower piece holds.
const EmfPiece& piece_at(ThermocoupleType type, double degC) {
  const auto pieces = emf_pieces(type);
  const auto found = std::find_if(pieces.begin(), pieces.end(),
                                  [&](const EmfPiece& p) { return degC <= p.highest_degC; });
  return found == pieces.end() ? pieces.back() : *found;
}

struct Knot {
  double degC;
  double emf_uV;
  const EmfPiece* piece;  ///< from this knot to the next one
};

/// Knots over the measuring range, so dense that each stretch is nearly a straight line, and with
/// the joints among them, so that each stretch lies within one piece.
std::vector<Knot> knots_of(ThermocoupleType type) {
  const DegCRange range = thermocouple_measuring_range(type);
  const double step_K = (range.highest_degC - range.lowest_degC) / knots_per_type;
  std::vector<Knot> knots;
  for (const EmfPiece& piece : emf_pieces(type)) {
    const double from_degC = std::max(piece.lowest_degC, range.lowest_degC);
    const double width_K = piece.highest_degC - from_degC;
    const int stretches = std::max(1, static_cast<int>(std::ceil(width_K / step_K)));
    for (int i = 0; i < stretches; ++i) {
      const double degC = from_degC + width_K * i / stretches;
      // A joint belongs to the lower piece, as in thermocouple_emf_uV.
      knots.push_back({degC, thermocouple_emf_uV(type, degC), &piece});
    }
  }
  knots.push_back(
      {range.highest_degC, thermocouple_emf_uV(type, range.highest_degC), knots.back().piece});
  return knots;
}

const std::vector<Knot>& knots(ThermocoupleType type) {
  static const std::array<std::vector<Knot>, 8> all{
      knots_of(ThermocoupleType::B), knots_of(ThermocoupleType::E), knots_of(ThermocoupleType::J),
      knots_of(ThermocoupleType::K), knots_of(ThermocoupleType::N), knots_of(ThermocoupleType::R),
      knots_of(ThermocoupleType::S), knots_of(ThermocoupleType::T)};
  return all[static_cast<std::size_t>(type)];
}

/// Newton's steps from the chord, kept between the knots; the function rises between them, so that
/// a step that leaves them is replaced by halving.
double solve(const Knot& low, const Knot& high, double emf_uV) {
  double bottom_degC = low.degC;
  double top_degC = high.degC;
  double degC =
      low.degC + (high.degC - low.degC) * (emf_uV - low.emf_uV) / (high.emf_uV - low.emf_uV);
  for (int i = 0; i < 60; ++i) {
    const auto [emf, slope] = evaluate(*low.piece, degC);
    (emf < emf_uV ? bottom_degC : top_degC) = degC;
    double next_degC = degC + (emf_uV - emf) / slope;
    if (!(next_degC >= bottom_degC && next_degC <= top_degC)) {
      next_degC = 0.5 * (bottom_degC + top_degC);
    }
    const double moved_K = std::fabs(next_degC - degC);
    degC = next_degC;
    if (moved_K < last_step_K) break;
  }
  return degC;
}

}  // namespace

DegCRange thermocouple_range(ThermocoupleType type) {
  const auto pieces = emf_pieces(type);
  return {pieces.front().lowest_degC, pieces.back().highest_degC};
}

DegCRange thermocouple_measuring_range(ThermocoupleType type) {
  DegCRange range = thermocouple_range(type);
  if (type == ThermocoupleType::B) range.lowest_degC = type_b_lowest_measured_degC;
  return range;
}

double thermocouple_emf_uV(ThermocoupleType type, double degC) {
  if (!thermocouple_range(type).holds(degC)) return std::numeric_limits<double>::quiet_NaN();
  return evaluate(piece_at(type, degC), degC).emf_uV;
}

double thermocouple_slope_uV_per_K(ThermocoupleType type, double degC) {
  if (!thermocouple_range(type).holds(degC)) return std::numeric_limits<double>::quiet_NaN();
  return evaluate(piece_at(type, degC), degC).slope_uV_per_K;
}

std::optional<double> thermocouple_degC(ThermocoupleType type, double emf_uV) {
  const std::vector<Knot>& all = knots(type);
  if (!(emf_uV >= all.front().emf_uV && emf_uV <= all.back().emf_uV)) return std::nullopt;
  const auto above = std::upper_bound(all.begin() + 1, all.end() - 1, emf_uV,
                                      [](double emf, const Knot& k) { return emf < k.emf_uV; });
  return solve(*(above - 1), *above, emf_uV);
}

std::optional<double> thermocouple_degC(ThermocoupleType type, double emf_uV, double cold_degC) {
  return thermocouple_degC(type, emf_uV + thermocouple_emf_uV(type, cold_degC));
}

}  // namespace nestcup::drivers
