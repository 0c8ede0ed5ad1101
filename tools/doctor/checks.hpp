// Every check that nestcup doctor makes, one file each.
#pragma once

#include "tools/doctor/check.hpp"

namespace nestcup::doctor {

/// Is there a daemon, and what does it say?
[[nodiscard]] Checks daemon_checks(const Bench& bench);
/// Ports: there, permitted, under a lasting name, and held by nobody else.
[[nodiscard]] Checks port_checks(const Bench& bench);
/// USB adapters that may be put to sleep, or hold bytes back.
[[nodiscard]] Checks adapter_checks(const Bench& bench);
/// Programs that take hold of serial ports by themselves.
[[nodiscard]] Checks neighbour_checks(const Bench& bench);
/// The store's file: sound, its size, its log, who writes it.
[[nodiscard]] Checks store_checks(const Bench& bench);
/// What is kept how long, and whether room can be given back.
[[nodiscard]] Checks keeping_checks(const Bench& bench);
/// The SQLite in use.
[[nodiscard]] Checks sqlite_checks(const Bench& bench);
/// Room on the disk, and for how long it lasts.
[[nodiscard]] Checks disk_checks(const Bench& bench);
/// Whether what is flushed to the disk gets there.
[[nodiscard]] Checks flush_checks(const Bench& bench);
/// The machine's clock.
[[nodiscard]] Checks clock_checks(const Bench& bench);
/// Ages of the probes' calibrations.
[[nodiscard]] Checks calibration_checks(const Bench& bench);
/// What is owed to notebooks, since when, and their passwords.
[[nodiscard]] Checks notebook_checks(const Bench& bench);

/// All of them.
[[nodiscard]] Checks examine(const Bench& bench);

/// What the machine's clock and disk are judged by, apart from the machine.
struct ClockFacts {
  std::optional<bool> synchronised;
  /// How far the wall clock moved against the boot clock since the daemon's start, s; nothing where
  /// no daemon started in this boot of the machine.
  std::optional<double> stepped_s;
  /// How far the wall clock lies before the newest reading, s; negative: behind it.
  std::optional<double> before_newest_s;
};
[[nodiscard]] Checks judge_clock(const ClockFacts& facts);

struct DiskFacts {
  double free_bytes = 0.0;
  double store_bytes = 0.0;
  double bytes_a_day = 0.0;           ///< what readings add at the present rate; 0: not known
  std::optional<double> keep_days{};  ///< nothing: all readings stay
};
[[nodiscard]] Checks judge_disk(const DiskFacts& facts);

struct FlushFacts {
  double median_us = 0.0;
  bool removable = false;  ///< a card or a stick
};
[[nodiscard]] Checks judge_flush(const FlushFacts& facts);

}  // namespace nestcup::doctor
