#include "core/notebook/place_steps.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <system_error>

namespace nestcup {

namespace fs = std::filesystem;

Error place_error(const std::string& path, std::string_view what, int number) {
  Fault kind = Fault::io;
  if (number == EACCES || number == EPERM || number == EROFS) kind = Fault::not_permitted;
  if (number == ENOENT || number == ENOTDIR) kind = Fault::cannot_create;
  return Error{kind,
               fmt::format("{}: {}: {}", path, what, std::generic_category().message(number))};
}

Error there_already(const std::string& path) {
  return Error{Fault::cannot_create, path + ": is there already; name another place"};
}

OpenFile::OpenFile(const std::string& path, int flags)
    : number_(::open(path.c_str(), flags, 0666)) {}

OpenFile::~OpenFile() {
  if (number_ >= 0) ::close(number_);
}

bool OpenFile::write_all(std::string_view bytes) const {
  while (!bytes.empty()) {
    const ssize_t count = ::write(number_, bytes.data(), bytes.size());
    if (count < 0 && errno != EINTR) return false;
    if (count > 0) bytes.remove_prefix(static_cast<std::size_t>(count));
  }
  return true;
}

bool OpenFile::flush() const {
  return ::fsync(number_) == 0;
}

std::optional<std::string> bytes_at(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) return std::nullopt;
  try {
    return std::string(std::istreambuf_iterator<char>(file), {});
  } catch (const std::ios_base::failure&) {
    return std::nullopt;  // a folder, say
  }
}

std::string folder_above(const std::string& path) {
  const std::string parent = fs::path(path).parent_path().string();
  return parent.empty() ? "." : parent;
}

std::string name_beside(const std::string& path, const std::string& mark, int number) {
  const std::string name = fs::path(path).filename().string();
  return (fs::path(folder_above(path)) / fmt::format(".{}.{}-{}.new", name, mark, number)).string();
}

Result<void> flush_folder(const std::string& folder) {
  const OpenFile file(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  // File systems that cannot flush a folder say EINVAL; there is no more to be done there.
  if (!file.ok() || (!file.flush() && errno != EINVAL)) {
    return place_error(folder, "cannot be flushed to the disk", errno);
  }
  return {};
}

Result<void> fill_file(const OpenFile& file, std::string_view bytes, const std::string& shown) {
  if (!file.ok()) return place_error(shown, "cannot be made", errno);
  if (!file.write_all(bytes)) return place_error(shown, "writing failed", errno);
  if (!file.flush()) return place_error(shown, "cannot be flushed to the disk", errno);
  return {};
}

Result<std::string> write_aside(const std::string& path, std::string_view bytes,
                                const std::string& mark) {
  for (int i = 0; i < most_names_aside; ++i) {
    const std::string aside = name_beside(path, mark, i);
    const OpenFile file(aside, new_file_flags);
    if (!file.ok() && errno == EEXIST) continue;
    const Result<void> done = fill_file(file, bytes, path);
    if (done) return aside;
    if (file.ok()) ::unlink(aside.c_str());
    return done.error();
  }
  return place_error(path, "cannot be made", EEXIST);
}

}  // namespace nestcup
