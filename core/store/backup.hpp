// A store's copy, made while the daemon goes on logging.
//
// Page for page within one reading transaction: the copy is the store of one moment, however much
// is written meanwhile, and nobody waits for it. (Without that transaction, SQLite's backup begins
// anew whenever another connection writes, which here would be several times a second.) As long as
// it lasts the write-ahead log cannot be cut, and grows by what the bench writes: some ten kB a
// second. A compact copy is built anew, row by row, without the pages that were freed.
#pragma once

#include <cstdint>
#include <functional>
#include <string>

#include "core/base/result.hpp"

namespace nestcup {

struct BackupOrder {
  std::string store;
  std::string copy;
  bool compact = false;  ///< takes the store's lock: what is written meanwhile would be missing
};

/// What was copied, counted in the copy.
struct BackupFacts {
  std::int64_t bytes = 0;
  std::int64_t readings = 0;
  std::int64_t runs = 0;
  std::int64_t revisions = 0;
};

enum class BackupStage { copying, checking };

/// Is told how far it is (copying), or just that it goes on (checking: 0 of 0).
using BackupProgress = std::function<void(BackupStage, std::int64_t done, std::int64_t total)>;

/// Copies a store. The copy appears under its name when it is whole, on the disk, and checked: its
/// integrity, and as many rows in each table as the store had at that moment. A copy that fails
/// leaves nothing.
/// @errors as Store::open; cannot_create: `copy` is there; try_later: another makes this copy, or
///   (compact) the store is being written; bad_data: store or copy is damaged; io: no room, or a
///   failing disk
[[nodiscard]] Result<BackupFacts> back_up(const BackupOrder& order, const BackupProgress& progress);

}  // namespace nestcup
