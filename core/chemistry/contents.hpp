// From what the sheet says of a vessel's contents to amounts: the parts that mixture_of is made of.
#pragma once

#include <optional>

#include "core/chemistry/mixture.hpp"
#include "core/matter/solution.hpp"

namespace nestcup {

/// A volume (mL) or a mass (g), as the contents are given.
struct AmountTaken {
  Measured read;         ///< by the instrument
  Measured left_behind;  ///< in the vessel; 0 where nothing stays
  [[nodiscard]] Measured taken() const { return read - left_behind; }
};

/// What was read and what stayed behind. Each call makes a new input of the reading's own error.
[[nodiscard]] AmountTaken amount_taken(const Contents& contents, const AmountContext& context,
                                       Inputs& inputs);

/// mol/L, or the mass fraction where the stock is given by it.
[[nodiscard]] Measured strength_of(const Stock& stock, Inputs& inputs);

/// Some amount of the stock at its stated strength; nothing where there is no such solution.
[[nodiscard]] std::optional<Solution> stock_solution(const Stock& stock,
                                                     const std::optional<Conventions>& conventions);

/// The temperature at which a volume was read.
[[nodiscard]] Measured read_at_degC(const Contents& contents, const AmountContext& context);

}  // namespace nestcup
