#include "core/notebook/bundle.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "core/base/utf8.hpp"

namespace nestcup {
namespace {

constexpr std::size_t longest_path = 1000;
constexpr std::size_t longest_part = 255;

/// For a message: control characters and bytes that are not UTF-8 must not reach a terminal.
std::string shown_path(std::string_view path) {
  const bool text = is_utf8(path);
  std::string out;
  for (const char c : path.substr(0, 200)) {
    const auto byte = static_cast<unsigned char>(c);
    const bool strange = byte < 0x20 || byte == 0x7F || (byte >= 0x80 && !text);
    out += strange ? fmt::format("\\x{:02x}", byte) : std::string(1, c);
  }
  return out;
}

/// What is wrong with one part of a path; empty where nothing is.
std::string_view part_fault(std::string_view part) {
  if (part.empty()) return "a part of the path is empty";
  if (part == "..") return "\"..\" leads out of the folder";
  if (part == ".") return "\".\" names no file";
  if (part.size() > longest_part) return "a name of more than 255 bytes";
  if (part.front() == ' ' || part.back() == ' ') return "a name begins or ends with a blank";
  return {};
}

std::string_view path_fault(std::string_view path) {
  if (path.empty()) return "the path is empty";
  if (path.size() > longest_path) return "a path of more than 1000 bytes";
  if (!is_utf8(path)) return "the path is not UTF-8";
  if (path.front() == '/') return "the path is absolute; paths are relative here";
  if (path.size() > 1 && path[1] == ':') return "the path begins with a drive";
  for (const char c : path) {
    if (c == '\\') return "a backslash; folders are parted by \"/\"";
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7F) return "a control character in a name";
  }
  for (std::size_t from = 0; from <= path.size();) {
    const std::size_t to = std::min(path.find('/', from), path.size());
    const std::string_view fault = part_fault(path.substr(from, to - from));
    if (!fault.empty()) return fault;
    from = to + 1;
  }
  return {};
}

}  // namespace

Result<void> check_bundle_path(std::string_view path) {
  const std::string_view fault = path_fault(path);
  if (fault.empty()) return {};
  return Error{Fault::bad_data, fmt::format("\"{}\": {}", shown_path(path), fault)};
}

Result<void> check_bundle(const std::vector<BundleFile>& files) {
  std::set<std::string_view> paths;
  std::set<std::string_view> folders;
  for (const BundleFile& file : files) {
    if (auto good = check_bundle_path(file.path); !good) return good.error();
    if (!paths.insert(file.path).second) {
      return Error{Fault::bad_data, fmt::format("\"{}\": is there twice", file.path)};
    }
    const std::string_view path = file.path;
    for (std::size_t at = path.find('/'); at != std::string_view::npos;) {
      folders.insert(path.substr(0, at));
      at = path.find('/', at + 1);
    }
  }
  for (const std::string_view path : paths) {
    if (folders.count(path) == 0) continue;
    return Error{Fault::bad_data, fmt::format("\"{}\": is a file and a folder at once", path)};
  }
  return {};
}

std::vector<BundleFile> below_folder(std::string_view folder, std::vector<BundleFile> files) {
  for (BundleFile& file : files) file.path = fmt::format("{}/{}", folder, file.path);
  return files;
}

}  // namespace nestcup
