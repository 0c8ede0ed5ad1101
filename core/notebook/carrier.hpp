// Brings what the outbox owes to a notebook: in order, at least once and harmless if twice, with
// growing pauses after failures.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/notebook/notebook.hpp"
#include "core/store/outbox.hpp"

namespace nestcup {

/// Where the outcome of attempts is noted: the store itself, or whoever writes it.
class OutboxNotes {
 public:
  OutboxNotes() = default;
  OutboxNotes(const OutboxNotes&) = delete;
  OutboxNotes& operator=(const OutboxNotes&) = delete;
  virtual ~OutboxNotes() = default;

  [[nodiscard]] virtual Result<void> carried(const OwedRevision& revision, TimeUs wall_us) = 0;
  [[nodiscard]] virtual Result<void> failed(const OwedRevision& revision,
                                            const FailedAttempt& attempt) = 0;
};

/// Notes in a store that the caller may write.
class StoreNotes : public OutboxNotes {
 public:
  explicit StoreNotes(Store& store) : outbox_(store) {}
  [[nodiscard]] Result<void> carried(const OwedRevision& revision, TimeUs wall_us) override {
    return outbox_.carried(revision, wall_us);
  }
  [[nodiscard]] Result<void> failed(const OwedRevision& revision,
                                    const FailedAttempt& attempt) override {
    return outbox_.failed(revision, attempt);
  }

 private:
  Outbox outbox_;
};

struct CarryOptions {
  EntryOptions entry;
  std::function<TimeUs()> now_us;  ///< Unix time
  /// How many passes failed before, in a row; counts where no revision is owed that counts them.
  int failed_passes = 0;
  /// Called before each attempt; false ends the pass.
  std::function<bool()> go_on = [] { return true; };
  /// Called after each attempt that carried, with what is owed still and not blocked.
  std::function<void(const OwedRevision&, int owed)> tell = [](const OwedRevision&, int) {};
};

/// What a pass came to.
struct CarryCount {
  int carried = 0;
  int blocked = 0;      ///< newly, in this pass
  int waiting = 0;      ///< owed still, blocked ones not counted
  std::string failure;  ///< why the pass ended early; empty where it did not
  std::optional<TimeUs>
      next_try_us;                   ///< when the next pass makes sense; nothing: when more is owed
  std::vector<std::string> remarks;  ///< what the owner should know
};

/// One pass: everything that is owed and not blocked, unless the pause after a failure has not
/// passed yet. A failure that may pass ends it; one that will not blocks that revision alone.
/// @errors of the store only; those of the notebook are noted and counted
[[nodiscard]] Result<CarryCount> carry(const Store& store, Notebook& notebook, OutboxNotes& notes,
                                       const CarryOptions& options);

/// The pause after so many failures in a row, s: 5, 10, 20 ... up to an hour, each up to a fifth
/// longer or shorter by chance, so that many benches do not come back together.
/// @param chance  0 to 1
[[nodiscard]] double pause_s(int failures, double chance);

}  // namespace nestcup
