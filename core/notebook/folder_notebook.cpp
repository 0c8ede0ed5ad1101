#include "core/notebook/folder_notebook.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "core/base/digest.hpp"
#include "core/notebook/new_place.hpp"
#include "core/notebook/place_steps.hpp"

namespace nestcup {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t longer_id_end = 12;

bool is_there(const fs::path& path) {
  std::error_code code;
  return fs::exists(fs::symlink_status(path, code));
}

/// The run that a folder says it is of; empty where it says nothing.
std::string run_in(const fs::path& folder) {
  for (const char* const name : {proof_name, "run.json"}) {
    const auto text = bytes_at((folder / name).string());
    const Json json = text ? Json::parse(*text, nullptr, false) : Json();
    for (const char* const key : {"run", "id"}) {
      if (json.is_object() && json.contains(key) && json[key].is_string()) return json[key];
    }
  }
  return {};
}

std::string digest_in(const Proof& proof, const std::string& path) {
  for (const auto& [name, sha256] : proof.files) {
    if (name == path) return sha256;
  }
  return {};
}

/// Makes the notebook's folder where it is not there, and its name last on the disk, also where an
/// earlier attempt came no further than to make it. A folder above that may not be opened cannot be
/// flushed.
Result<void> make_root(const std::string& root) {
  std::vector<std::string> above = {folder_above(root)};
  while (!is_there(above.back())) above.push_back(folder_above(above.back()));
  std::error_code code;
  fs::create_directories(root, code);
  if (code) return place_error(root, "cannot be made", code.value());
  for (const std::string& folder : above) {
    auto flushed = flush_folder(folder);
    if (!flushed && flushed.error().kind != Fault::not_permitted) return flushed;
  }
  return {};
}

/// Whether there is nothing in a folder but what an empty disk has of itself.
bool is_bare(const std::string& folder) {
  std::error_code code;
  fs::directory_iterator entry(folder, code);
  for (; !code && entry != fs::directory_iterator(); entry.increment(code)) {
    if (entry->path().filename() != "lost+found") return false;
  }
  return !code;
}

/// Whether a revision that a folder has is the one that is to be brought.
bool has_revision(const Proof& proof, const RunEntry& entry) {
  const auto own = entry.bytes_of("run.json");
  if (proof.revisions.size() < static_cast<std::size_t>(entry.revision)) return false;
  const auto digest = record_sha256(*own);
  const ProofRevision& there = proof.revisions[static_cast<std::size_t>(entry.revision) - 1];
  return digest && there.link.record_sha256 == *digest;
}

/// Whether these bytes are the proof that `now` took the place of, as it was written: an attempt
/// that is cut off right then leaves it aside.
bool is_earlier_proof(const std::string& bytes, const Proof& now) {
  const auto proof = parse_proof(bytes, proof_name);
  if (!proof || proof->run_id != now.run_id || proof->book != now.book ||
      proof->revisions.size() >= now.revisions.size()) {
    return false;
  }
  for (std::size_t i = 0; i < proof->revisions.size(); ++i) {
    if (proof->revisions[i].link.sha256 != now.revisions[i].link.sha256) return false;
  }
  return Json::parse(bytes).dump(2) + "\n" == bytes;
}

}  // namespace

FolderNotebook::FolderNotebook(const NotebookSettings& settings, std::string mark)
    : root_(settings.target), name_(notebook_name(settings)), mark_(std::move(mark)) {}

Result<void> FolderNotebook::begin(bool has_runs) {
  if (!is_there(root_) && has_runs) {
    return Error{Fault::unavailable,
                 fmt::format("{}: the folder is gone, though runs were carried there; was it "
                             "moved, or is its disk not mounted?",
                             root_)};
  }
  if (has_runs && is_bare(root_)) {
    return Error{Fault::unavailable,
                 fmt::format("{}: the folder is empty, though runs were carried there; is its disk "
                             "not mounted? If it was emptied on purpose, put any file into it, and "
                             "later runs go there",
                             root_)};
  }
  if (!has_runs) {
    if (auto made = make_root(root_); !made) return made;
  }
  // Beside the runs' folders only this program writes: nothing there is anyone's words.
  return remove_left_overs(root_, mark_, [](const std::string&) { return true; });
}

Result<std::string> FolderNotebook::path_for(const RunEntry& entry) const {
  const std::string short_path = (fs::path(root_) / entry.folder).string();
  if (!is_there(short_path) || run_in(short_path) == entry.id) return short_path;
  const std::string long_path =
      short_path + entry.id.substr(entry.id.size() - longer_id_end, longer_id_end / 2);
  if (!is_there(long_path) || run_in(long_path) == entry.id) return long_path;
  return Error{Fault::bad_data,
               fmt::format("{}: is there already and is no folder of run {}; move it away, then "
                           "nestcup sync",
                           short_path, entry.number)};
}

Result<Arrival> FolderNotebook::bring(const RunEntry& entry) {
  const auto path = path_for(entry);
  if (!path) return path.error();
  if (!is_there(*path)) {
    if (auto written = write_folder(*path, entry.files, mark_); !written) return written.error();
    return Arrival{};
  }
  Place place{*path, {}, bytes_at((fs::path(*path) / proof_name).string()).value_or("")};
  auto proof = parse_proof(place.proof_text, *path);
  if (proof) place.proof = std::move(*proof);
  return bring_to(place, entry);
}

Result<Arrival> FolderNotebook::bring_to(const Place& place, const RunEntry& entry) {
  const auto known = [&](const std::string& bytes) {
    const std::string digest = sha256_hex(bytes);
    const bool was_ours = std::any_of(place.proof.files.begin(), place.proof.files.end(),
                                      [&](const auto& file) { return file.second == digest; });
    return was_ours || bytes == place.proof_text || is_earlier_proof(bytes, place.proof) ||
           std::any_of(entry.files.begin(), entry.files.end(),
                       [&](const BundleFile& file) { return file.bytes.starts_with(bytes); });
  };
  if (auto tidy = remove_left_overs(place.path, mark_, known); !tidy) return tidy.error();
  Arrival arrival;
  arrival.was_there = has_revision(place.proof, entry);
  if (arrival.was_there) {
    // The attempt that brought it may have been cut off before its names were on the disk.
    for (const std::string& folder : {place.path, root_}) {
      if (auto flushed = flush_folder(folder); !flushed) return flushed.error();
    }
    return arrival;
  }
  // The proof comes last: until then the folder is that of the revision before.
  for (const BundleFile& file : entry.files) {
    if (auto brought = bring_file(place, file, entry.revision, arrival); !brought) {
      return brought.error();
    }
  }
  return arrival;
}

Result<void> FolderNotebook::bring_file(const Place& place, const BundleFile& file, int revision,
                                        Arrival& arrival) {
  const std::string path = (fs::path(place.path) / file.path).string();
  if (!is_there(path)) return write_whole(path, file.bytes, IfThere::refuse, mark_);
  const auto there = bytes_at(path);
  if (there && *there == file.bytes) return {};
  const std::string ours = digest_in(place.proof, file.path);
  const auto known = [&](const std::string& bytes) {
    return file.path == proof_name ? bytes == place.proof_text : sha256_hex(bytes) == ours;
  };
  if (there && known(*there)) {
    const auto replaced = replace_known(path, file.bytes, known, mark_);
    if (!replaced) return replaced.error();
    if (*replaced) return {};
  }
  const std::string beside =
      (fs::path(place.path) / name_of_revision(file.path, revision)).string();
  arrival.remarks.push_back(
      fmt::format("{} was changed by hand and stays; revision {} lies beside it as {}", path,
                  revision, fs::path(beside).filename().string()));
  if (bytes_at(beside) == file.bytes) return {};
  return write_whole(beside, file.bytes, IfThere::refuse, mark_);
}

Result<KeptHead> FolderNotebook::head(const std::string& book) {
  // By the end of the name: the bench may have another name by now, and so the newest of several.
  KeptHead newest;
  const std::string end = fmt::format(" {}.json", book_mark(book));
  std::error_code code;
  for (fs::directory_iterator entry(root_, code), last; !code && entry != last;
       entry.increment(code)) {
    const std::string file = entry->path().filename().string();
    if (!file.starts_with("chain ") || !file.ends_with(end)) continue;
    const auto text = bytes_at(entry->path().string());
    auto head = parse_head(text.value_or(""), entry->path().string());
    if (!head) return head.error();
    if (head->head.book == book && head->head.links >= newest.head.links) newest = *head;
  }
  if (code) return Error{Fault::io, fmt::format("{}: cannot be read: {}", root_, code.message())};
  return newest;
}

Result<void> FolderNotebook::keep_head(const KeptHead& head) {
  return write_whole((fs::path(root_) / head_file_name(head)).string(), head_text(head),
                     IfThere::replace, mark_);
}

Result<std::vector<std::string>> FolderNotebook::keep_index(const KeptHead& head,
                                                            const IndexNews& news) {
  const std::string path = (fs::path(root_) / index_file_name(head, news.month)).string();
  std::optional<std::string> there;
  if (is_there(path)) there = bytes_at(path).value_or("");
  const auto text = new_index(there, head, news);
  if (!text) return text.error();
  if (!there) {
    if (auto written = write_whole(path, *text, IfThere::refuse, mark_); !written) {
      return written.error();
    }
    return std::vector<std::string>{};
  }
  const auto known = [&](const std::string& bytes) {
    return bytes == *there && is_untouched_index(bytes);
  };
  const auto replaced = replace_known(path, *text, known, mark_);
  if (!replaced) return replaced.error();
  if (*replaced) return std::vector<std::string>{};
  const std::string beside = path.substr(0, path.size() - 3) + " (anew).md";
  auto written = write_whole(beside, *text, IfThere::replace, mark_);
  if (!written) return written.error();
  return std::vector<std::string>{
      fmt::format("{} was changed by hand and stays; the new index lies beside it as {}", path,
                  fs::path(beside).filename().string())};
}

}  // namespace nestcup
