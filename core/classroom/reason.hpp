// Why a bench lies off, in plain words: what it looks like, how sure that is, and what to look at.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "core/classroom/class_bench.hpp"
#include "core/classroom/class_quantity.hpp"
#include "core/classroom/explanation.hpp"
#include "core/classroom/leak_beside.hpp"

namespace nestcup {

/// How far a reason is to be trusted.
enum class Trust {
  strong,  ///< another stock of the sheet, or a far leak in most runs, or one figure alone that
           ///< brings back several trials
  fair,    ///< the same, but something else fits as well; or one trial alone is to tell, and
           ///< nothing else fits
  weak,    ///< one trial is brought back by one figure, which one of many could do
};

/// "strong", "fair", "weak".
[[nodiscard]] std::string_view trust_name(Trust trust);

struct Reason {
  std::string code;  ///< "lid-off", those of suspect_code, "runs-apart", "findings", "struck-runs",
                     ///< "unexplained"
  Trust trust = Trust::fair;
  std::string text;
  std::vector<std::string> trials;                       ///< it is about
  std::vector<std::pair<std::string, double>> values{};  ///< name with unit -> value
};

/// What one bench is like beside the class.
struct BenchJudgement {
  std::vector<std::size_t> outlying;  ///< quantities in which its value is an outlier
  std::vector<std::size_t> apart;     ///< quantities in which its runs scatter too much
  std::optional<LeakBeside> leak;
  std::optional<Deviations> deviations;  ///< worked out where a trial is outlying
  std::vector<Reason> reasons;
};

/// What a reason is made from.
struct Evidence {
  std::span<const ClassBench> benches;
  std::span<const ClassQuantity> quantities;
  std::size_t bench = 0;
};

/// The reasons for what the judgement holds; none for a bench that is in line and leaks as others.
[[nodiscard]] std::vector<Reason> reasons_of(const BenchJudgement& judgement,
                                             const Evidence& evidence);

/// What one explanation looks like.
[[nodiscard]] Reason reason_of(const Explanation& explanation, const Sheet& sheet, Trust trust);

/// "oxide", "oxide and metal", "warm, oxide and metal".
[[nodiscard]] std::string list_of(const std::vector<std::string>& names);

/// For people: a trial's name, "the calorimeter constant" or "the cycle".
[[nodiscard]] std::string quantity_label(const QuantityName& name);

}  // namespace nestcup
