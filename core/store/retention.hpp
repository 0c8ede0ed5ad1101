// Old readings leave a store in small steps; those of runs never do.
//
// What goes are readings outside every run's first and last moment. Records, events, sheets,
// calibrations and probes stay, so that what is exported or verified of a run is the same before
// and after. Each step is a transaction of its own, short enough not to hold up the readings that
// come in. On the writer's thread.
#pragma once

#include <cstdint>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "core/base/clock.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// Room in a store's file.
struct FilePages {
  std::int64_t all = 0;
  std::int64_t free = 0;           ///< to be used again by what comes
  bool can_be_given_back = false;  ///< a store begun by this version, or a compact copy
};

/// One pass over a store's old readings.
class Retention {
 public:
  /// Readings of the last hours stay whatever is asked for: a start takes a run under way up from
  /// them, and the axis of time goes on behind the newest.
  static constexpr TimeUs always_kept_us = 6 * 3600 * us_per_s;

  /// @param before_us  readings from there on stay
  [[nodiscard]] static Result<Retention> begin(const Store& store, TimeUs before_us);
  /// Removes the readings of the next moments, some `most` of them.
  /// @return how many (0 where it only passed by runs); nothing where the pass is through
  /// @errors as Store::add; nothing is removed then, and the call can be repeated
  [[nodiscard]] Result<std::optional<std::int64_t>> step(Store& store, std::int64_t most);

  [[nodiscard]] static Result<FilePages> pages(const Store& store);
  /// Gives free pages back to the file system, at most `most` of them, as long as more than an
  /// eighth of the file is free: the rest is filled again soon. The file gets shorter at the next
  /// checkpoint.
  /// @return how many; 0 where there is nothing to give, or the file has no map for it
  [[nodiscard]] static Result<std::int64_t> give_back(Store& store, std::int64_t most);

 private:
  struct Span {
    TimeUs first_us = 0;
    TimeUs last_us = 0;
  };

  Retention(std::vector<Span> kept, TimeUs before_us)
      : kept_(std::move(kept)), before_us_(before_us) {}

  std::vector<Span> kept_;  ///< the runs' moments, both ends included, by time, without overlaps
  std::size_t next_kept_ = 0;
  TimeUs from_us_ = std::numeric_limits<TimeUs>::min();  ///< readings before it were dealt with
  TimeUs before_us_;
};

}  // namespace nestcup
