// What the system's error numbers (errno(3)) mean for a store. Internal to the room.
#pragma once

#include <string>
#include <string_view>

#include "core/base/result.hpp"

namespace nestcup {

/// What kind of failure it is that a file cannot be opened or made; `otherwise` for numbers that
/// say neither that it is not permitted nor that the disk is full or fails.
[[nodiscard]] Fault open_fault(int number, Fault otherwise);

/// What to try; `otherwise` where the number says nothing that helps.
[[nodiscard]] std::string_view advice_for_number(int number, std::string_view otherwise);

/// Whether the rights on a store, its -wal and -shm and their folder let it be written. SQLite
/// falls back to reading whatever kept it from opening a file, and does not say what that was.
[[nodiscard]] bool rights_permit_writing(const std::string& path);

}  // namespace nestcup
