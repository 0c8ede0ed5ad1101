// Sets what arrived from a board against what it sent.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "tests/bench/many_boards.hpp"

namespace nestcup::bench {

/// A reading as the driver gave it.
struct Arrival {
  std::uint32_t code = 0;
  TimeUs stamp_us = 0;
};

/// A time in which the driver had the port open and settled.
struct OpenTime {
  TimeUs from_us = 0;
  TimeUs until_us = 0;
  bool ended = false;  ///< by the loss of the port; else by the end of all
};

struct PortAccount {
  std::size_t due = 0;             ///< sent while the port was open and settled
  std::size_t arrived = 0;         ///< of those
  std::size_t lost = 0;            ///< of those, with the port open and later ones arriving
  std::size_t lost_at_unplug = 0;  ///< of those, the last ones before a cable was pulled
  std::size_t most_at_unplug = 0;  ///< of one cable pulled
  std::size_t out_of_order = 0;    ///< arrivals that are not later than the one before, or twice
  std::size_t strange = 0;         ///< arrivals that this board never sent
  std::vector<TimeUs> late_us{};   ///< stamp minus time of sending, of every arrival
};

/// The first reading after an opening may miss: a line that may have begun before is not taken. It
/// is due where it arrived.
[[nodiscard]] PortAccount account_of(int board, const SharedList<TimeUs>& sent_us,
                                     const std::vector<Arrival>& arrivals,
                                     const std::vector<OpenTime>& open);

}  // namespace nestcup::bench
