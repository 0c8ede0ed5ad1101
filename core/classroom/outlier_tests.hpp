// Tests for values that lie too far from the others, and for benches whose runs scatter too much.
//
// Levels as in ISO 5725-2: what chance gives in less than 1 % of classes is an outlier, in less
// than 5 % a straggler. Critical values come from the distributions named, not from tables.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace nestcup {

inline constexpr double outlier_level = 0.01;
inline constexpr double straggler_level = 0.05;

enum class Standing { in_line, straggler, outlier };

/// What a test found. Critical values are those of the statistic for the two levels.
struct OutlierTest {
  double statistic = 0.0;
  double critical_5_percent = 0.0;
  double critical_1_percent = 0.0;
  std::vector<std::size_t> which;  ///< the values tested, by index
  Standing standing = Standing::in_line;
};

/// Grubbs' statistic that the farthest of p normal values exceeds with this probability, to either
/// side: (p-1)/sqrt(p) sqrt(t^2 / (p-2+t^2)) with Student's t of p - 2 degrees of freedom at
/// level/(2p) (F. E. Grubbs, Technometrics 11 (1969) 1-21; NIST/SEMATECH e-Handbook, 1.3.5.17.1).
/// @param count  3 or more
[[nodiscard]] double grubbs_critical(std::size_t count, double level);

/// The value farthest from the mean, in standard deviations: outlying where it is above critical.
/// @return nothing for less than three values, or where all are equal
[[nodiscard]] std::optional<OutlierTest> grubbs_one(std::span<const double> values);

/// The two largest or the two smallest values: the sum of squares without them over that with
/// them, the smaller of the two ratios; outlying where it is below critical. For one pair the ratio
/// is c with probability c^((p-3)/2); the pair points the same way in the share
/// atan(sqrt(p/(p-2)))/pi of cases; there are p(p-1)/2 pairs, and two sides. Adding these up gives
/// an upper limit of the probability (Bonferroni): the test is a little too careful.
/// @return nothing for less than four values, or where all are equal
[[nodiscard]] std::optional<OutlierTest> grubbs_two(std::span<const double> values);
/// @param count  4 or more
[[nodiscard]] double grubbs_two_critical(std::size_t count, double level);

/// The farthest benches one after the other: Grubbs' test for one, again without it where it is an
/// outlier; where it is none, that for two. As ISO 5725-2 does it, but repeated while outliers turn
/// up, and no more than a third of the values are taken out.
/// @return one standing a value
[[nodiscard]] std::vector<Standing> grubbs_standings(std::span<const double> values);

/// Scatter within one bench.
struct Scatter {
  double variance = 0.0;
  double dof = 0.0;  ///< runs less one, > 0
};

/// Cochran's test: the largest share of a bench in the sum of squares within benches. Critical
/// values from the beta distribution with dof/2 and (all others)/2 at level/p, which for equal
/// numbers of runs are those of Cochran (Bonferroni; W. G. Cochran, Ann. Eugen. 11 (1941) 47-52),
/// and for unequal ones those of R. U. E. 't Lam, Anal. Chim. Acta 659 (2010) 68-84. With unequal
/// numbers the bench with the least probable share is tested.
/// @return nothing for less than two benches, or where nothing scatters
[[nodiscard]] std::optional<OutlierTest> cochran(std::span<const Scatter> benches);

}  // namespace nestcup
