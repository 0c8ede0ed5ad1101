#include "core/report/drawing/spread.hpp"

#include <algorithm>
#include <cstddef>

namespace nestcup {

std::vector<double> spread(std::vector<double> wanted, std::span<const double> sizes, double gap,
                           const Range& row) {
  double free_from = row.low;
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    wanted[i] = std::max(wanted[i], free_from);
    free_from = wanted[i] + sizes[i] + gap;
  }
  double free_to = row.high;
  for (std::size_t i = wanted.size(); i-- > 0;) {
    wanted[i] = std::min(wanted[i], free_to - sizes[i]);
    free_to = wanted[i] - gap;
  }
  return wanted;
}

}  // namespace nestcup
