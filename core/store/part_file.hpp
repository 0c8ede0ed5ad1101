// A large file under way: beside its later name, hidden, and gone where it does not get there.
// Internal to the room.
#pragma once

#include <sys/types.h>

#include <cstdint>
#include <string>

#include "core/base/result.hpp"

namespace nestcup {

class PartFile {
 public:
  /// An empty file ".NAME.part" beside `path`. One that a cut-off program left is taken over.
  /// @errors cannot_create: something has the name already, or there is no such folder; try_later:
  ///   another program is at it; not_permitted; io
  [[nodiscard]] static Result<PartFile> beside(const std::string& path);
  PartFile(PartFile&& other) noexcept;
  PartFile& operator=(PartFile&&) = delete;
  ~PartFile();

  [[nodiscard]] const std::string& path() const { return path_; }
  /// Bytes in it by now.
  [[nodiscard]] std::int64_t bytes() const;
  /// Brings it to the disk and gives it this mode (until then only its owner may read it) and its
  /// name, which stays another's where one took it.
  /// @errors as beside
  [[nodiscard]] Result<void> give_name(mode_t mode);

 private:
  PartFile(std::string final_path, std::string path, int descriptor)
      : final_path_(std::move(final_path)), path_(std::move(path)), descriptor_(descriptor) {}

  std::string final_path_;
  std::string path_;
  int descriptor_ = -1;  ///< locked; -1 where another object has it
  bool named_ = false;
};

}  // namespace nestcup
