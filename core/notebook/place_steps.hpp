// Steps by which files come to their places. Internal to the room.
#pragma once

#include <fcntl.h>

#include <optional>
#include <string>
#include <string_view>

#include "core/base/result.hpp"

namespace nestcup {

// So many left-overs with one mark do not lie beside each other.
inline constexpr int most_names_aside = 1000;

inline constexpr int new_file_flags = O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC;

/// @param number  errno of what failed
[[nodiscard]] Error place_error(const std::string& path, std::string_view what, int number);
[[nodiscard]] Error there_already(const std::string& path);

/// An open file that closes itself.
class OpenFile {
 public:
  OpenFile(const std::string& path, int flags);
  ~OpenFile();
  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;

  [[nodiscard]] bool ok() const { return number_ >= 0; }
  [[nodiscard]] bool write_all(std::string_view bytes) const;
  [[nodiscard]] bool flush() const;

 private:
  int number_;
};

/// A file's bytes; nothing where it cannot be read.
[[nodiscard]] std::optional<std::string> bytes_at(const std::string& path);
[[nodiscard]] std::string folder_above(const std::string& path);
/// A name beside `path` for a file under way.
[[nodiscard]] std::string name_beside(const std::string& path, const std::string& mark, int number);
[[nodiscard]] Result<void> flush_folder(const std::string& folder);
/// Everything into a file that was just made; `shown` is its name for messages.
[[nodiscard]] Result<void> fill_file(const OpenFile& file, std::string_view bytes,
                                     const std::string& shown);
/// A new file beside `path` with these bytes; its name.
[[nodiscard]] Result<std::string> write_aside(const std::string& path, std::string_view bytes,
                                              const std::string& mark);

}  // namespace nestcup
