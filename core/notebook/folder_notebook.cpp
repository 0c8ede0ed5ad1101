#include "core/notebook/folder_notebook.hpp"

#include <fmt/format.h>

#include <filesystem>

#include "core/notebook/arrived.hpp"
#include "core/notebook/new_place.hpp"
#include "core/notebook/place_steps.hpp"

namespace nestcup {
namespace {

namespace fs = std::filesystem;

bool is_there(const fs::path& path) {
  std::error_code code;
  return fs::exists(fs::symlink_status(path, code));
}

/// The run that a folder says it is of; empty where it says nothing.
std::string run_in(const fs::path& folder) {
  for (const char* const name : {proof_name, run_record_name}) {
    const std::string run = run_named_in(bytes_at((folder / name).string()));
    if (!run.empty()) return run;
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

}  // namespace

FolderNotebook::FolderNotebook(const NotebookSettings& settings, std::string mark)
    : root_(settings.target),
      name_(notebook_name(settings)),
      wants_charts_(settings.charts),
      mark_(std::move(mark)) {}

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
  for (const std::string& name : folder_names(entry)) {
    const std::string path = (fs::path(root_) / name).string();
    if (!is_there(path) || run_in(path) == entry.id) return path;
  }
  return place_taken((fs::path(root_) / entry.folder).string(), entry);
}

Result<Arrival> FolderNotebook::bring(const RunEntry& entry) {
  const auto path = path_for(entry);
  if (!path) return path.error();
  if (!is_there(*path)) {
    if (auto written = write_folder(*path, entry.files, mark_); !written) return written.error();
    return Arrival{};
  }
  return bring_to(*path, entry);
}

Result<Arrival> FolderNotebook::bring_to(const std::string& path, const RunEntry& entry) {
  const ArrivedRun there(bytes_at((fs::path(path) / proof_name).string()).value_or(""), path);
  const auto known = [&](const std::string& bytes) { return there.knows(bytes, entry); };
  if (auto tidy = remove_left_overs(path, mark_, known); !tidy) return tidy.error();
  Arrival arrival;
  arrival.was_there = there.has(entry);
  if (arrival.was_there) {
    // The attempt that brought it may have been cut off before its names were on the disk.
    for (const std::string& folder : {path, root_}) {
      if (auto flushed = flush_folder(folder); !flushed) return flushed.error();
    }
    return arrival;
  }
  // The proof comes last: until then the folder is that of the revision before.
  for (const BundleFile& file : entry.files) {
    if (auto brought = bring_file({path, there, entry.revision}, file, arrival); !brought) {
      return brought.error();
    }
  }
  return arrival;
}

Result<void> FolderNotebook::bring_file(const Place& place, const BundleFile& file,
                                        Arrival& arrival) {
  const std::string path = (fs::path(place.path) / file.path).string();
  if (!is_there(path)) return write_whole(path, file.bytes, IfThere::refuse, mark_);
  const auto there = bytes_at(path);
  if (there && *there == file.bytes) return {};
  const auto known = [&](const std::string& bytes) { return place.there.wrote(file.path, bytes); };
  if (there && known(*there)) {
    const auto replaced = replace_known(path, file.bytes, known, mark_);
    if (!replaced) return replaced.error();
    if (*replaced) return {};
  }
  const std::string name = name_of_revision(file.path, place.revision);
  const std::string beside = (fs::path(place.path) / name).string();
  arrival.remarks.push_back(changed_by_hand(path, place.revision, name));
  if (bytes_at(beside) == file.bytes) return {};
  return write_whole(beside, file.bytes, IfThere::refuse, mark_);
}

Result<KeptHead> FolderNotebook::head(const std::string& book, const std::string& bench) {
  const std::string usual = (fs::path(root_) / head_file_name({bench, {book, 0, ""}})).string();
  if (const auto text = bytes_at(usual)) {
    auto head = parse_head(*text, usual);
    if (!head || head->head.book == book) return head;
  }
  // The bench may have had another name: by the end of the file's, and the newest of several.
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
  const std::string beside = index_beside(path);
  auto written = write_whole(beside, *text, IfThere::replace, mark_);
  if (!written) return written.error();
  return std::vector<std::string>{
      index_changed_by_hand(path, fs::path(beside).filename().string())};
}

}  // namespace nestcup
