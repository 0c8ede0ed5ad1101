#include "core/notebook/pack_place.hpp"

#include <fcntl.h>
#include <fmt/format.h>

#include <cerrno>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <nlohmann/json.hpp>

#include "core/base/digest.hpp"
#include "core/notebook/crate.hpp"
#include "core/notebook/crate_checks.hpp"
#include "core/notebook/place_steps.hpp"

namespace nestcup {

using Json = nlohmann::ordered_json;

namespace {

namespace fs = std::filesystem;
using PlaceKind = PackPlace::Kind;

Error taken(const std::string& path, std::string_view why) {
  return {Fault::cannot_create, fmt::format("{}: {}; name another place", path, why)};
}

std::string stem_of(const std::string& path) {
  return fs::path(path).stem().string();
}

/// All files below a folder. Links are no files of a crate.
Result<std::vector<BundleFile>> folder_files(const std::string& folder) {
  std::vector<BundleFile> files;
  std::error_code code;
  for (fs::recursive_directory_iterator at(folder, code), end; !code && at != end;
       at.increment(code)) {
    if (at->is_directory(code) && !at->is_symlink(code)) continue;
    const std::string path = at->path().lexically_relative(folder).generic_string();
    if (at->is_symlink(code) || !at->is_regular_file(code)) {
      return taken(folder, path + " in it is no file");
    }
    std::ifstream stream(at->path(), std::ios::binary);
    std::string bytes{std::istreambuf_iterator<char>(stream), {}};
    if (!stream) return taken(folder, path + " in it cannot be read");
    files.push_back({path, std::move(bytes), "", ""});
  }
  if (code) return taken(folder, "cannot be read");
  return files;
}

/// The digests that a crate's metadata give for its files, by reference; nothing where it was not
/// this program that made them.
std::map<std::string, std::string> digests_of(const std::string& metadata) {
  std::map<std::string, std::string> digests;
  bool is_own = false;
  try {
    const Json document = Json::parse(metadata);
    for (const Json& node : document.at("@graph")) {
      const std::string id = node.at("@id");
      is_own = is_own || (id == "#nestcup" && node.at("@type") == "SoftwareApplication");
      if (node.at("@type") == "File") digests[id] = node.at("sha256");
    }
  } catch (const Json::exception&) {
    is_own = false;
  }
  return is_own ? digests : std::map<std::string, std::string>{};
}

/// Whether what lies in the place of a pack is a crate of ours.
Result<void> check_replaceable(Result<std::vector<BundleFile>> files, const PackPlace& place) {
  if (!files) return taken(place.path, "is there already, and is no crate of this program's");
  if (place.kind == PlaceKind::eln) {
    for (BundleFile& file : *files) file.path.erase(0, file.path.find('/') + 1);
  }
  const auto own = check_own_crate(*files);
  if (!own) return taken(place.path, "is there already and stays: " + own.error().text);
  return {};
}

bool exchange_folders(const std::string& one, const std::string& other) {
  return ::renameat2(AT_FDCWD, one.c_str(), AT_FDCWD, other.c_str(), RENAME_EXCHANGE) == 0;
}

/// Puts a new folder in the place of a crate of ours: both change places in one step, so that there
/// is always a whole one, and back where anyone has put something into the old one meanwhile.
Result<void> replace_folder(const PackPlace& place, const std::vector<BundleFile>& files) {
  const std::string aside = name_beside(place.path, usual_mark(), 0);
  if (auto made = write_folder(aside, files); !made) return made;
  Result<void> done;
  if (!exchange_folders(aside, place.path)) {
    done = place_error(place.path, "cannot be replaced here; name another place", errno);
  } else if (auto good = check_replaceable(folder_files(aside), place); !good) {
    if (!exchange_folders(aside, place.path)) {
      return Error{Fault::io, fmt::format("{}: what was there has changed; it is now in {}",
                                          place.path, aside)};
    }
    done = good;
  }
  std::error_code code;
  fs::remove_all(aside, code);
  return done ? flush_folder(folder_above(place.path)) : done;
}

Result<void> replace_archive(const PackPlace& place, const std::string& bytes) {
  const auto is_ours = [&](const std::string& there) {
    return check_replaceable(read_archive_bytes(there, place.path), place).ok();
  };
  const auto replaced = replace_known(place.path, bytes, is_ours);
  if (!replaced) return replaced.error();
  if (*replaced) return {};
  return taken(place.path, "cannot be replaced: it has changed, or the file system cannot do that");
}

}  // namespace

Result<PackPlace> pack_place(const std::string& text) {
  PackPlace place{PlaceKind::folder, text};
  while (place.path.size() > 1 && place.path.back() == '/') place.path.pop_back();
  const fs::path name = fs::path(place.path).filename();
  if (name.empty() || name == "." || name == "..") {
    return Error{Fault::usage, fmt::format("\"{}\": a name for the crate is expected", text)};
  }
  if (place.path.size() < text.size()) return place;
  const std::string ending = name.extension().string();
  if (ending == ".zip") place.kind = PlaceKind::zip;
  if (ending == ".eln") place.kind = PlaceKind::eln;
  if (place.kind == PlaceKind::folder && !ending.empty()) {
    return Error{Fault::usage,
                 fmt::format("{}: a name that ends in .zip or .eln is expected, or a folder's "
                             "(put / behind one with a full stop in it)",
                             text)};
  }
  if (place.kind != PlaceKind::eln) return place;
  // Its name is that of the folder within, wherever that is unpacked.
  if (auto good = check_bundle_path(stem_of(place.path)); !good) {
    return Error{Fault::usage, good.error().text};
  }
  return place;
}

std::string_view kind_name(PlaceKind kind) {
  switch (kind) {
    case PlaceKind::folder:
      return "folder";
    case PlaceKind::zip:
      return "zip";
    case PlaceKind::eln:
      return "eln";
  }
  return "folder";
}

Result<void> check_own_crate(const std::vector<BundleFile>& files) {
  std::map<std::string, std::string> digests;
  for (const BundleFile& file : files) {
    if (file.path == crate_metadata_name) digests = digests_of(file.bytes);
  }
  if (digests.empty()) return Error{Fault::bad_data, "it is no crate of this program's"};
  for (const BundleFile& file : files) {
    if (file.path == crate_metadata_name) continue;
    const auto known = digests.find(path_reference(file.path));
    if (known == digests.end()) return Error{Fault::bad_data, file.path + " was added to it"};
    if (known->second != sha256_hex(file.bytes)) {
      return Error{Fault::bad_data, file.path + " in it was changed"};
    }
  }
  return {};
}

Result<void> check_place(const PackPlace& place, IfThere if_there) {
  std::error_code code;
  const fs::file_status there = fs::symlink_status(place.path, code);
  if (!fs::exists(there)) {
    const std::string above = folder_above(place.path);
    if (fs::is_directory(above, code)) return {};
    return Error{Fault::cannot_create, above + ": no such folder; make it first"};
  }
  if (if_there == IfThere::refuse) {
    return Error{Fault::cannot_create, place.path +
                                           ": is there already; name another place, or replace a "
                                           "crate of this program's with --replace"};
  }
  const bool fits =
      place.kind == PlaceKind::folder ? fs::is_directory(there) : fs::is_regular_file(there);
  if (!fits) return taken(place.path, "is there already, and is of another kind");
  return check_replaceable(
      place.kind == PlaceKind::folder ? folder_files(place.path) : read_archive(place.path), place);
}

Result<std::string> put_pack(const PackPlace& place, const std::vector<BundleFile>& files,
                             TimeUs time_us, IfThere if_there) {
  if (auto good = check_place(place, if_there); !good) return good.error();
  std::error_code code;
  const bool is_there = fs::exists(fs::symlink_status(place.path, code));
  if (place.kind == PlaceKind::folder) {
    auto done = is_there ? replace_folder(place, files) : write_folder(place.path, files);
    if (!done) return done.error();
    return std::string();
  }
  const auto bytes =
      archive_bytes(place.kind == PlaceKind::eln ? below_folder(stem_of(place.path), files) : files,
                    time_us, place.path);
  if (!bytes) return bytes.error();
  auto done = is_there ? replace_archive(place, *bytes) : write_whole(place.path, *bytes);
  if (!done) return done.error();
  return sha256_hex(*bytes);
}

}  // namespace nestcup
