// Things that a bench's trials share, or that one of them uses, and that may have been other than
// the sheet says; and the bench as it would be then.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "core/chemistry/run_facts.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

enum class SuspectKind {
  strength,           ///< of a stock: mol/L, or its mass fraction
  other_stock,        ///< another stock of the sheet in its place
  exchanged_stocks,   ///< two stocks, each in the other's place
  cylinder,           ///< mL more than were read, each time
  balance,            ///< g more than were read, each time
  cup_scale,          ///< share by which the cup's probe shows too much of a rise
  added_offset,       ///< K that the second vessel's probe shows too much
  constant,           ///< J/K, where the sheet gives it
  amount,             ///< of one vessel in one trial: mL or g
  added_temperature,  ///< degC, as the sheet gives it for one trial
};

/// "strength", "other-stock", ... : the code of a reason.
[[nodiscard]] std::string suspect_code(SuspectKind kind);

struct Suspect {
  SuspectKind kind = SuspectKind::strength;
  std::string name{};   ///< of stock, instrument, probe, or vessel ("cup")
  std::string other{};  ///< the other stock
  std::string trial{};  ///< of amount and added_temperature
  std::string unit{};   ///< of the figures below; empty for a share
  double stated = 0.0;
  double u_stated = 0.0;
  double low = 0.0, high = 0.0;       ///< what is looked at; farther off is no slip any more
  bool by_factor = false;             ///< looked at by equal factors, not by equal steps
  std::vector<std::string> inputs{};  ///< of the results, which it takes the place of

  std::size_t index = 0, other_index = 0;  ///< in the sheet
  bool of_cup = false;                     ///< amount: of the cup's contents, else of the added

  /// Whether there is no figure to find.
  [[nodiscard]] bool is_choice() const {
    return kind == SuspectKind::other_stock || kind == SuspectKind::exchanged_stocks;
  }
};

/// A bench's sheet and runs, as they are or as they are supposed to be.
struct Supposed {
  Sheet sheet;
  std::vector<RunFacts> runs;
};

/// The same bench with less work: runs of one trial become one, with their mean temperatures;
/// without the cycle. For differences only.
[[nodiscard]] Supposed condensed(const Sheet& sheet, const std::vector<RunFacts>& runs);

/// Everything that may have been other than stated. How far each is looked at is a judgement: a
/// strength within a factor of 20, an amount within a factor of 2, a cylinder 10 % and a balance
/// 20 % of the least amount, a scale 10 %, a probe 3 K, a temperature 10 K, a constant up to 200
/// J/K.
[[nodiscard]] std::vector<Suspect> suspects_of(const Supposed& bench);

/// The bench as if the suspect had this value (of no meaning for a choice).
[[nodiscard]] Supposed supposing(const Supposed& bench, const Suspect& suspect, double value);

}  // namespace nestcup
