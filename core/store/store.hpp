// The bench's store: one SQLite file with every reading, every run and its records.
//
// One connection writes (see StoreLock); any number read. All calls on one object must come from
// one thread at a time. Times are on the bench's axis (us). A commit is on the disk when its call
// returns. The write-ahead log moves into the file by checkpoint() alone, so the writer calls it
// from time to time (every few minutes, and with `truncate` when idle).
#pragma once

#include <cstddef>
#include <cstdint>
#include <limits>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/calibration.hpp"
#include "core/base/reading.hpp"
#include "core/base/result.hpp"
#include "core/base/uncertain.hpp"
#include "core/store/run_book.hpp"

namespace nestcup {

/// A probe as the store knows it; `settings_json` is what records carry of it.
struct StoredProbe {
  std::string name;
  ProbeRole role = ProbeRole::cup;
  std::string raw_unit;  ///< unit of Reading::raw: "degC", "degF", "K", ...
  std::string settings_json;
};

/// One start of the daemon: the anchor between the machine's clocks and the bench's axis.
struct StoredSession {
  std::string boot_id;    ///< of the machine's boot
  TimeUs machine_us = 0;  ///< the machine's boot clock at the anchor
  TimeUs axis_us = 0;     ///< the bench's axis at the anchor
  TimeUs wall_us = 0;     ///< Unix time at the anchor
  double speed = 1.0;     ///< bench seconds per machine second
  std::optional<bool> clock_synchronised;
};

/// Something that happened beside the readings and must be fed again after a crash.
struct StoredEvent {
  TimeUs time_us = 0;
  std::string kind;    ///< "mark", "finish", "clock-step", "port", ...
  std::string detail;  ///< JSON text or empty
};

/// What was found out about a probe, or which of it holds. Rows are added and never changed.
struct StoredCalibration {
  enum class Kind : std::uint8_t {
    correction,     ///< `calibration`
    none,           ///< from here on the probe is read as it is
    again,          ///< `again` holds once more
    difference,     ///< `value` (K) of this probe less `other`, both corrected, in one vessel
    time_constant,  ///< `value` (s) in stirred liquid
  };
  int number = 0;  ///< 1, 2, 3 ... in this store
  std::string probe;
  TimeUs wall_us = 0;  ///< Unix time
  Kind kind = Kind::correction;
  Calibration calibration{};
  std::optional<std::string> other{};
  Uncertain value{};
  std::optional<int> again{};
  std::string points_json = "[]";  ///< what it comes from
  std::string who{};
  std::string note{};
};

/// A row's kind as the store, lists and answers spell it: "offset", "line", "none", "again", ...
[[nodiscard]] std::string_view calibration_word(const StoredCalibration& row);

/// What holds of a probe.
struct HeldCalibration {
  std::optional<StoredCalibration> correction;     ///< nothing where it is read as it is
  std::optional<StoredCalibration> time_constant;  ///< the newest
};

/// What holds of a probe after these rows, all of one store and in its order.
[[nodiscard]] HeldCalibration held_after(const std::vector<StoredCalibration>& rows,
                                         const std::string& probe);

/// Readings for a curve on a screen.
struct SampledReadings {
  std::vector<Reading> readings;  ///< by time, then probe, as of Store::readings
  bool all = true;                ///< none was left out
};

enum class StoreMode {
  write,  ///< creates and migrates; the caller holds the StoreLock
  read,   ///< never changes the file
};

class Store : public RunBook {
 public:
  static constexpr std::size_t all_probes = std::numeric_limits<std::size_t>::max();
  /// @errors no_input (read: no such file), cannot_create, not_permitted, bad_data (no nestcup
  ///         store, damaged, or made by a newer version), io; text names the file
  [[nodiscard]] static Result<Store> open(const std::string& path, StoreMode mode);
  Store(Store&&) noexcept;
  Store& operator=(Store&&) noexcept;
  ~Store() override;

  /// Makes sure each probe has its row and returns the ids in the order given. A probe whose role,
  /// unit or settings changed gets a new row: old readings keep the settings they were taken with.
  [[nodiscard]] Result<std::vector<std::int64_t>> register_probes(std::span<const StoredProbe>);
  /// Every row, in the order in which they were made; a name stands there twice where its settings
  /// changed.
  [[nodiscard]] Result<std::vector<StoredProbe>> probes() const;

  [[nodiscard]] Result<void> add_session(const StoredSession&);
  [[nodiscard]] Result<std::optional<StoredSession>> last_session() const;

  /// Commits readings and events in one transaction; repeating the same call changes nothing
  /// (unique keys: a probe has one reading at a time, the first stays). Reading::probe is the index
  /// in the list given to register_probes. Values come back bit for bit, -0.0 as 0.0. After a
  /// failed write or sync the next call opens the file anew by itself.
  /// @errors io (disk full, failed write or sync: nothing of it may be taken as stored; repeat it);
  ///         try_later: another holds the file; bad_data: NaN, infinity or an unregistered probe
  [[nodiscard]] Result<void> add(std::span<const Reading>, std::span<const StoredEvent>);

  /// Readings with from_us <= time_us <= to_us by time, then probe: index of register_probes (also
  /// for older rows of the same name; other probes are left out), or of probes() where none were
  /// registered.
  /// @param probes  only those of the first so many probes of that list
  [[nodiscard]] Result<std::vector<Reading>> readings(TimeUs from_us, TimeUs to_us,
                                                      std::size_t probes = all_probes) const;
  /// The same for a curve on a screen: all where they are at most `most`, else about so many, the
  /// first of each probe in even slices of the time, which lie at the same places each time.
  /// Takes as long as `most` asks for, however many readings there are.
  [[nodiscard]] Result<SampledReadings> sampled_readings(TimeUs from_us, TimeUs to_us,
                                                         std::size_t most) const;
  [[nodiscard]] Result<std::vector<StoredEvent>> events(TimeUs from_us, TimeUs to_us) const;
  /// The newest event of a kind; nothing where there was none.
  [[nodiscard]] Result<std::optional<StoredEvent>> last_event(const std::string& kind) const;
  [[nodiscard]] Result<std::optional<TimeUs>> last_reading_us() const;
  [[nodiscard]] Result<std::int64_t> reading_count() const;

  /// Stores a finished run with its first revision. In the same transaction the record becomes a
  /// link of the store's chain (chain.hpp) and is owed to every notebook (outbox.hpp). The id, and
  /// the first reading's time, are unique: a run that is already there is left as it is (returns
  /// its number). The run gets its `number` where it has one that is free, else the next.
  [[nodiscard]] Result<int> add_run(const StoredRun&, const RevisionNote&);
  /// Adds revision `expected_revision + 1`.
  /// @errors no_input: no such run; try_later: the newest revision is not `expected_revision`
  [[nodiscard]] Result<void> add_revision(const std::string& id, int expected_revision,
                                          const std::string& status, const std::string& record_json,
                                          const RevisionNote&);

  /// All runs by number.
  [[nodiscard]] Result<std::vector<StoredRun>> runs() const override;
  /// The newest of those with a number below `before`, by number.
  /// @param most  so many, at least 1
  [[nodiscard]] Result<std::vector<StoredRun>> runs_below(int before, int most) const;
  /// Those whose first reading lies in from_us <= first_us < to_us, by that.
  [[nodiscard]] Result<std::vector<StoredRun>> runs_between(TimeUs from_us, TimeUs to_us) const;
  [[nodiscard]] Result<StoredRun> find_run(const std::string& which) const override;
  [[nodiscard]] Result<std::vector<StoredRevision>> revisions(const std::string& id) const override;
  /// Every reading of probes that take part in runs from the run's first moment to its last, be it
  /// of the run or not.
  [[nodiscard]] Result<RoledReadings> readings_about(const StoredRun& run) const override;
  /// The run that ended last, struck ones too; nothing where there is none.
  [[nodiscard]] Result<std::optional<RunSpan>> last_run_span() const;

  /// Adds a row (its `number` is given) and returns its number. For `again` the older row must be a
  /// correction of the same probe.
  /// @errors no_input: no such older row; bad_data: numbers that are not finite
  [[nodiscard]] Result<int> add_calibration(const StoredCalibration&);
  /// All rows in the order in which they were added, of one probe or of all. A store of an older
  /// version that is open for reading has none.
  [[nodiscard]] Result<std::vector<StoredCalibration>> calibrations(
      const std::optional<std::string>& probe = std::nullopt) const;
  [[nodiscard]] Result<HeldCalibration> held_calibration(const std::string& probe) const;

  /// Keeps a sheet; one that is there already stays as it is.
  [[nodiscard]] Result<void> keep_sheet(const StoredSheet&);
  /// All kept sheets by first use. A store of an older version that is open for reading has none.
  [[nodiscard]] Result<std::vector<StoredSheet>> sheets() const override;
  [[nodiscard]] Result<StoredSheet> find_sheet(const std::string& sha256_begin) const override;

  [[nodiscard]] const std::string& name() const override { return path(); }
  [[nodiscard]] Result<std::unique_ptr<RunBook>> reopened() const override;

  struct Checkpoint {
    std::int64_t log_pages = 0;
    std::int64_t done_pages = 0;
  };
  /// Moves the write-ahead log into the file (PASSIVE, or TRUNCATE when `truncate`).
  [[nodiscard]] Result<Checkpoint> checkpoint(bool truncate);
  /// PRAGMA integrity_check; empty list where all is well.
  [[nodiscard]] Result<std::vector<std::string>> integrity_problems() const;
  [[nodiscard]] const std::string& path() const;

 private:
  friend class Chain;
  friend class Outbox;
  friend class OutboxView;
  friend class Retention;
  friend Result<void> take_over_chain(Store& store, const std::string& book);
  struct Inner;
  explicit Store(std::unique_ptr<Inner>);
  std::unique_ptr<Inner> inner_;
};

/// The right to write a store: a lock file beside it ("<store>.lock") held with flock. It says who
/// holds it, so that a command can name the daemon instead of a bare refusal.
class StoreLock {
 public:
  /// @errors try_later: held (text names process and what to do); cannot_create; not_permitted
  [[nodiscard]] static Result<StoreLock> take(const std::string& store_path,
                                              const std::string& who);
  StoreLock(StoreLock&&) noexcept;
  StoreLock& operator=(StoreLock&&) noexcept;
  ~StoreLock();

 private:
  explicit StoreLock(int descriptor) : descriptor_(descriptor) {}
  int descriptor_ = -1;
};

}  // namespace nestcup
