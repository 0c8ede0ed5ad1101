// What a file of a store is like, looked at from outside: for those who care for it.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/store/retention.hpp"

namespace nestcup {

struct StoreLook {
  std::int64_t tables_version = 0;  ///< of the file
  std::int64_t newest_version = 0;  ///< that this program makes
  std::int64_t bytes = 0;           ///< of the file
  std::int64_t log_bytes = 0;       ///< of the write-ahead log beside it
  FilePages pages;
  std::int64_t readings = 0;
  std::vector<std::string> problems;  ///< of PRAGMA quick_check; empty where all is well
};

/// Opens the store for reading and checks its pages, in some seconds for each GB.
/// @param go_on  asked from time to time; false breaks it off (Fault::io)
/// @errors as Store::open
[[nodiscard]] Result<StoreLook> look_at_store(
    const std::string& path, const std::function<bool()>& go_on = [] { return true; });

/// Readings in the 24 hours up to the newest one.
/// @errors as Store::open
[[nodiscard]] Result<std::int64_t> readings_of_last_day(const std::string& path);

/// Who has the right to write the store ("nestcupd (process 812)"); empty for nobody. Takes
/// nothing and makes no file.
[[nodiscard]] std::string store_writer(const std::string& path);

}  // namespace nestcup
