#include "core/classroom/explanation.hpp"

#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <cmath>
#include <utility>

#include "core/classroom/beside_class.hpp"

namespace nestcup {

namespace {

constexpr double least_probability_left = 0.01;
constexpr double least_taken_away = 16.0;
constexpr double least_stated_u_off = 4.0;
constexpr double as_good = 6.0;

using Cholesky = Eigen::LLT<Eigen::MatrixXd>;

double probability_of(double chi_squared, double dof) {
  if (dof <= 0.0) return 1.0;
  return boost::math::cdf(complement(boost::math::chi_squared(dof), chi_squared));
}

/// Where on its way a suspect is: its figure, or the logarithm of it.
double figure_at(const Suspect& suspect, double at) {
  return suspect.by_factor ? std::exp(at) : at;
}

double place_of(const Suspect& suspect, double figure) {
  return suspect.by_factor ? std::log(figure) : figure;
}

/// A point of the search.
struct Point {
  double at = 0.0;
  Supposition supposition;
  double chi_squared = 0.0;
};

/// Looks for the figure of one suspect that fits best.
class Search {
 public:
  Search(const BesideClass& beside, const Suspect& suspect)
      : beside_(beside),
        suspect_(suspect),
        covariance_(beside.covariance(suspect.inputs)),
        low_(place_of(suspect, suspect.low)),
        high_(place_of(suspect, suspect.high)) {}

  [[nodiscard]] const Cholesky& covariance() const { return covariance_; }

  [[nodiscard]] std::optional<Point> point(double at) const {
    auto supposition = beside_.suppose(suspect_, figure_at(suspect_, at));
    if (!supposition) return std::nullopt;
    const double chi_squared = chi_squared_of(covariance_, supposition->by);
    return Point{at, std::move(*supposition), chi_squared};
  }

  /// The least chi-squared: the best of a grid, then Gauss-Newton steps from there.
  [[nodiscard]] std::optional<Point> best() {
    const int steps = suspect_.kind == SuspectKind::strength ? 8 : 4;
    std::optional<Point> best;
    for (int i = 0; i <= steps; ++i) {
      auto next = point(low_ + (high_ - low_) * i / steps);
      if (next && (!best || next->chi_squared < best->chi_squared)) best = std::move(next);
    }
    constexpr int patience = 6;
    double reach = (high_ - low_) / steps;
    for (int i = 0; best && i < patience; ++i) {
      if (!improve(*best, reach)) break;
    }
    return best;
  }

  /// Of the last point, on the way of the search.
  [[nodiscard]] double u() const { return u_; }

 private:
  /// One step; false where nothing is gained any more.
  bool improve(Point& best, double& reach) {
    const double little = (high_ - low_) * 1e-3 * (best.at < 0.5 * (low_ + high_) ? 1.0 : -1.0);
    const auto beside = point(best.at + little);
    if (!beside) return false;
    const Eigen::VectorXd slope =
        covariance_.matrixL().solve((beside->supposition.by - best.supposition.by) / little);
    const double steepness = slope.squaredNorm();
    if (!(steepness > 0.0)) return false;
    u_ = 1.0 / std::sqrt(steepness);
    const double step = -slope.dot(covariance_.matrixL().solve(best.supposition.by)) / steepness;
    if (std::abs(step) < 0.01 * u_) return false;
    auto next = point(std::clamp(best.at + std::clamp(step, -reach, reach), low_, high_));
    if (!next || next->chi_squared >= best.chi_squared) {
      reach *= 0.25;
      return reach > 0.01 * u_;
    }
    const bool gains = next->chi_squared < 0.99 * best.chi_squared;
    best = std::move(*next);
    return gains;
  }

  const BesideClass& beside_;
  const Suspect& suspect_;
  Cholesky covariance_;
  double low_ = 0.0, high_ = 0.0;
  double u_ = 0.0;
};

/// Fills in which trials move and which come back.
void name_trials(Explanation& explanation, const BesideClass& beside, const Eigen::VectorXd& after,
                 const Eigen::MatrixXd& covariance) {
  for (Eigen::Index i = 0; i < beside.size(); ++i) {
    const double u = std::sqrt(covariance(i, i));
    const std::string& trial = beside.trials()[std::size_t(i)];
    if (std::abs(after[i] - beside.by()[i]) > u) explanation.moved.push_back(trial);
    if (beside.is_outlying(i) && std::abs(after[i]) <= 3.0 * u) explanation.back.push_back(trial);
  }
}

std::optional<Explanation> explained_by(const Suspect& suspect, const BesideClass& beside) {
  Search search(beside, suspect);
  Explanation explanation;
  explanation.suspect = suspect;
  explanation.dof = static_cast<double>(beside.size()) - (suspect.is_choice() ? 0.0 : 1.0);
  explanation.chi_squared_before = chi_squared_of(search.covariance(), beside.by());
  const auto point = suspect.is_choice() ? search.point(0.0) : search.best();
  if (!point) return std::nullopt;
  const Eigen::MatrixXd covariance = beside.covariance(point->supposition, suspect.inputs);
  const Eigen::VectorXd& left = point->supposition.by;
  explanation.chi_squared_after = chi_squared_of(Cholesky(covariance), left);
  explanation.probability = probability_of(explanation.chi_squared_after, explanation.dof);
  if (explanation.probability < least_probability_left) return std::nullopt;
  if (explanation.chi_squared_before - explanation.chi_squared_after < least_taken_away) {
    return std::nullopt;
  }
  if (!suspect.is_choice()) {
    explanation.value = figure_at(suspect, point->at);
    explanation.u = search.u() * (suspect.by_factor ? explanation.value : 1.0);
    const double off = std::abs(explanation.value - suspect.stated);
    if (off < least_stated_u_off * suspect.u_stated) return std::nullopt;
    if (explanation.value <= suspect.low || explanation.value >= suspect.high) return std::nullopt;
  }
  name_trials(explanation, beside, left, covariance);
  if (explanation.back.empty()) return std::nullopt;
  return explanation;
}

/// An amount of one trial can bring back no other, unless the constant comes from that trial: not
/// worth the work where another lies off, too.
bool may_explain(const Suspect& suspect, const BesideClass& beside) {
  if (suspect.kind != SuspectKind::amount && suspect.kind != SuspectKind::added_temperature) {
    return true;
  }
  const Purpose purpose = beside.bench().sheet.trials[suspect.index].purpose;
  if (purpose == Purpose::calorimeter_constant || purpose == Purpose::electrical_calibration) {
    return true;
  }
  for (Eigen::Index i = 0; i < beside.size(); ++i) {
    const bool is_its_own = beside.trials()[std::size_t(i)] == suspect.trial;
    if (beside.is_outlying(i) != is_its_own) return false;
  }
  return true;
}

/// Something in one trial alone, or which moves one alone, can bring back any one trial.
int trust_of(const Explanation& explanation) {
  if (explanation.suspect.is_choice()) return 2;
  return explanation.moved.size() > 1 ? 1 : 0;
}

/// Drops a stock's solved strength where another stock of the sheet does as well: that holds so
/// much, and is no accident.
void merge_strengths(std::vector<Explanation>& found) {
  const auto is_bottle_for = [](const Explanation& choice, const Explanation& strength) {
    return choice.suspect.kind == SuspectKind::other_stock &&
           choice.suspect.index == strength.suspect.index &&
           choice.chi_squared_after < strength.chi_squared_after + as_good;
  };
  const std::vector<Explanation> all = found;
  std::erase_if(found, [&](const Explanation& strength) {
    return strength.suspect.kind == SuspectKind::strength &&
           std::any_of(all.begin(), all.end(),
                       [&](const Explanation& choice) { return is_bottle_for(choice, strength); });
  });
}

}  // namespace

Deviations deviations_of(const ClassBench& bench, std::size_t place, const Results& results,
                         std::span<const ClassQuantity> quantities) {
  const BesideClass beside(bench, place, results, quantities);
  Deviations deviations;
  deviations.trials = beside.trials();
  deviations.by.assign(beside.by().begin(), beside.by().end());
  if (beside.size() == 0) return deviations;
  deviations.chi_squared = chi_squared_of(Cholesky(beside.covariance({})), beside.by());
  deviations.probability =
      probability_of(deviations.chi_squared, static_cast<double>(beside.size()));
  auto& found = deviations.explanations;
  for (const Suspect& suspect : suspects_of(beside.bench())) {
    if (!may_explain(suspect, beside)) continue;
    if (auto explanation = explained_by(suspect, beside)) found.push_back(std::move(*explanation));
  }
  merge_strengths(found);
  std::stable_sort(found.begin(), found.end(), [](const Explanation& a, const Explanation& b) {
    if (trust_of(a) != trust_of(b)) return trust_of(a) > trust_of(b);
    return a.chi_squared_after < b.chi_squared_after;
  });
  if (found.empty()) return deviations;
  double least = found.front().chi_squared_after;
  for (const Explanation& explanation : found) {
    least = std::min(least, explanation.chi_squared_after);
  }
  std::erase_if(found, [&](const Explanation& explanation) {
    return explanation.chi_squared_after > least + as_good;
  });
  return deviations;
}

}  // namespace nestcup
