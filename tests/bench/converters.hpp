// What boards of everyday make of a temperature: converters whose values are few, uneven, or
// rounded once more for printing. Shares no code with the analysis.
#pragma once

#include <array>
#include <string_view>

#include "core/analysis/readings/point.hpp"

namespace nestcup::bench {

enum class Converter {
  sixteenths,        ///< of a degree, printed with two decimals
  fahrenheit,        ///< tenths of a degree Fahrenheit, in degrees Celsius with two decimals
  divider_10,        ///< 10 kohm thermistor (beta 3950 K) over 10 kohm at ten bits, all decimals
  divider_10_print,  ///< the same with two decimals
  divider_12_print   ///< the same at twelve bits
};

inline constexpr std::array every_converter{Converter::sixteenths, Converter::fahrenheit,
                                            Converter::divider_10, Converter::divider_10_print,
                                            Converter::divider_12_print};

[[nodiscard]] double converted_degC(Converter converter, double degC);

/// Every temperature of the curve, converted.
void convert(Converter converter, Curve& curve);

}  // namespace nestcup::bench
