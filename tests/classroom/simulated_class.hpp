// A bench of the class through the simulator: readings of simulated probes, found, analysed and
// recorded as the daemon's are.
#pragma once

#include <cstdint>

#include "core/record/run_record.hpp"
#include "tests/classroom/class_day.hpp"

namespace nestcup::classroom {

/// The record of one run; throws where it is not found. A lid that is off is an open cup (45 cm2).
[[nodiscard]] Json simulated_record(const DayBench& bench, std::size_t run, std::uint64_t seed);

/// A record like it with the figures of read_cheaply: for stores of many benches, since simulating
/// and analysing a run takes a tenth of a second. `like` is a record of simulated_record.
[[nodiscard]] Json cheap_record(const Json& like, const ClassBench& bench, std::size_t run);

/// Names the record's bench, sheet and trial.
void name_record(Json& record, const std::string& bench, const Sheet& sheet,
                 const std::string& trial, int number);

/// A store with these records; the sheet is kept in it. @param text  of the sheet
void write_store(const std::string& path, const std::vector<Json>& records,
                 const std::string& text);

}  // namespace nestcup::classroom
