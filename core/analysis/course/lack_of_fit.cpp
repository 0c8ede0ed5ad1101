#include "core/analysis/course/lack_of_fit.hpp"

#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <cmath>

#include "core/analysis/readings/rounded_reading.hpp"

namespace nestcup {
namespace {

constexpr double misfit_block_s = 4.0;
constexpr double least_misfit_readings = 5.0;
/// Of a block's information, in that of single unrounded readings: the score of less, which is a
/// digit that changes or does not, is far from normal.
constexpr double least_information = 2.0;
/// The course's nine parameters, of which weak knowledge beforehand holds two or three.
constexpr double parameters = 7.0;

struct MisfitBlock {
  double begun_s = 0.0, readings = 0.0, score = 0.0, information = 0.0;

  [[nodiscard]] bool is_full(double time_s, const Noise& noise) const {
    if (readings < least_misfit_readings || time_s - begun_s < misfit_block_s) return false;
    return !noise.is_coarse() || information * noise.sd_K * noise.sd_K >= least_information;
  }
};

}  // namespace

double LackOfFit::surplus() const {
  return std::max(1.0, chi_squared / (dof + 2.0 * std::sqrt(2.0 * dof)));
}

LackOfFit lack_of_fit(CurveView curve, const CourseFit& fit) {
  const MixingCourse course = fit.course();
  const Noise& noise = fit.noise;
  const double variance = noise.total_K() * noise.total_K();
  const bool coarse = noise.is_coarse();
  LackOfFit result;
  MisfitBlock block;
  const auto close = [&](double begun_s) {
    if (block.information > 0.0) {
      result.chi_squared += block.score * block.score / block.information;
      result.dof += 1.0;
    }
    block = MisfitBlock{.begun_s = begun_s};
  };
  for (const Point& point : curve) {
    if (block.is_full(point.time_s, noise)) close(point.time_s);
    if (block.readings == 0.0) block.begun_s = point.time_s;
    const double expected = course.at(point.time_s);
    block.readings += 1.0;
    if (coarse) {
      block.score += rounded_likelihood(point.temperature_degC, expected, noise).score_per_K;
      block.information += rounded_information(point.temperature_degC, expected, noise);
    } else {
      block.score += (point.temperature_degC - expected) / variance;
      block.information += 1.0 / variance;
    }
  }
  close(0.0);
  result.dof = std::max(1.0, result.dof - parameters);
  result.probability = boost::math::cdf(
      boost::math::complement(boost::math::chi_squared(result.dof), result.chi_squared));
  return result;
}

}  // namespace nestcup
