// Prints symbol, number, atomic weight and half range of every element, for weights_test.py.
#include <fmt/format.h>

#include "core/matter/elements.hpp"

int main() {
  for (const nestcup::Element& element : nestcup::elements()) {
    fmt::print("{} {} {:.10g} {:.4g}\n", element.symbol, element.number, element.atomic_weight,
               element.half_range);
  }
}
