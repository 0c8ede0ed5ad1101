// From an argument to the runs that lie there.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>

#include "core/pool/found_run.hpp"
#include "core/sheet/toml_section.hpp"

namespace nestcup::pooled {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view sqlite_begin = "SQLite format 3";
constexpr const char* record_name = "run.json";
constexpr const char* sheet_name = "sheet.toml";

bool is_sqlite(const fs::path& path) {
  std::array<char, sqlite_begin.size()> begin{};
  std::ifstream file(path, std::ios::binary);
  file.read(begin.data(), begin.size());
  return file && std::string_view(begin.data(), begin.size()) == sqlite_begin;
}

/// Entries by name, so that what comes out does not depend on the file system.
Result<std::vector<fs::path>> entries_of(const fs::path& folder) {
  std::vector<fs::path> entries;
  std::error_code code;
  for (fs::directory_iterator at(folder, code), end; !code && at != end; at.increment(code)) {
    entries.push_back(at->path());
  }
  if (code) return Error{Fault::io, folder.string() + ": " + code.message()};
  std::sort(entries.begin(), entries.end());
  return entries;
}

Place& place_of(std::vector<Place>& places, const fs::path& path) {
  std::error_code code;
  const fs::path here = path.empty() ? fs::path(".") : path;
  const std::string canonical = fs::weakly_canonical(here, code).string();
  for (Place& place : places) {
    if (place.canonical == canonical) return place;
  }
  return places.emplace_back(Place{here.string(), canonical, {}, {}, ""});
}

/// In the folder, or in the one above it: a notebook lies beside the day's sheet.
void find_sheet(const fs::path& folder, Place& place) {
  if (!place.sheet_path.empty()) return;
  std::error_code code;
  const fs::path here = fs::weakly_canonical(folder.empty() ? fs::path(".") : folder, code);
  for (const fs::path& around : {here, here.parent_path()}) {
    const fs::path path = around / sheet_name;
    if (!fs::is_regular_file(path, code)) continue;
    place.sheet_path = path.string();
    return;
  }
}

Result<void> read_record(const fs::path& path, Place& place) {
  const auto text = file_bytes(path.string());
  if (!text) return text.error();
  const Json record = Json::parse(*text, nullptr, false);
  if (record.is_discarded()) {
    return Error{Fault::bad_data,
                 path.string() +
                     ": is neither a store nor JSON; expected a bench's store (.db), a "
                     "folder, or a run record (run.json)"};
  }
  auto found = found_run(record, "", path.string());
  if (!found) return found.error();
  found->label =
      "run " + found->id.substr(found->id.size() - std::min<std::size_t>(6, found->id.size()));
  if (found->run) found->run->label = found->label;
  place.runs.push_back(std::move(found).value());
  return {};
}

/// Every run.json in a folder, or one or two folders further down.
Result<void> read_records(const fs::path& folder, int depth, Place& place) {
  const auto entries = entries_of(folder);
  if (!entries) return entries.error();
  std::error_code code;
  for (const fs::path& entry : *entries) {
    if (entry.filename() == record_name) {
      if (auto read = read_record(entry, place); !read) return read;
    } else if (depth > 0 && fs::is_directory(entry, code)) {
      if (auto read = read_records(entry, depth - 1, place); !read) return read;
    }
  }
  return {};
}

Result<void> read_folder(const fs::path& folder, std::vector<Place>& places) {
  Place& place = place_of(places, folder);
  const auto entries = entries_of(folder);
  if (!entries) return entries.error();
  bool has_store = false;
  for (const fs::path& entry : *entries) {
    if (entry.extension() != ".db" || !is_sqlite(entry)) continue;
    has_store = true;
    if (auto read = read_store(entry.string(), place); !read) return read;
  }
  // The records in a notebook beside a store are those of the store.
  if (!has_store) {
    if (auto read = read_records(folder, 2, place); !read) return read;
  }
  find_sheet(folder, place);
  const bool on_paper = fs::path(place.sheet_path).parent_path() == place.canonical;
  if (!place.runs.empty() || has_store || on_paper) return {};
  return Error{Fault::bad_data, folder.string() +
                                    ": holds no store, no run records (run.json) and no sheet; "
                                    "name each bench's own folder"};
}

}  // namespace

Result<void> read_argument(const std::string& argument, std::vector<Place>& places) {
  const fs::path path(argument);
  std::error_code code;
  if (!fs::exists(path, code)) {
    return Error{Fault::no_input, argument + ": no such file or folder"};
  }
  if (fs::is_directory(path, code)) return read_folder(path, places);
  if (is_sqlite(path)) {
    Place& place = place_of(places, path);
    if (auto read = read_store(argument, place); !read) return read;
    find_sheet(path.parent_path(), place);
    return {};
  }
  const fs::path folder =
      path.filename() == record_name ? path.parent_path().parent_path() : path.parent_path();
  Place& place = place_of(places, folder);
  if (auto read = read_record(path, place); !read) return read;
  find_sheet(folder, place);
  return {};
}

}  // namespace nestcup::pooled
