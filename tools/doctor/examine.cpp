#include "tools/doctor/checks.hpp"

namespace nestcup::doctor {

Checks examine(const Bench& bench) {
  Checks all;
  for (const auto look : {daemon_checks, port_checks, adapter_checks, neighbour_checks,
                          store_checks, keeping_checks, sqlite_checks, disk_checks, flush_checks,
                          clock_checks, calibration_checks, notebook_checks}) {
    Checks found = look(bench);
    all.insert(all.end(), std::make_move_iterator(found.begin()),
               std::make_move_iterator(found.end()));
  }
  return all;
}

}  // namespace nestcup::doctor
