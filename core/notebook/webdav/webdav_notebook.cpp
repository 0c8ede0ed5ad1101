#include "core/notebook/webdav/webdav_notebook.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace nestcup {

WebdavNotebook::WebdavNotebook(const NotebookSettings& settings, const std::string& mark,
                               HttpClient client)
    : name_(notebook_name(settings)),
      wants_charts_(settings.charts),
      server_(DavUrl(settings.target), std::move(client)),
      files_(server_, mark) {}

Result<void> WebdavNotebook::begin(bool has_runs) {
  const auto there = server_.has_collection("");
  if (!there) return there.error();
  if (!*there && has_runs) {
    return Error{Fault::unavailable,
                 fmt::format("{}: the collection is gone, though runs were carried there; was it "
                             "moved or renamed?",
                             server_.url().text())};
  }
  if (!*there) {
    if (auto made = server_.make_root(); !made) return made;
  }
  if (auto begun = files_.begin(); !begun) return begun;
  return recover_index();
}

/// An index that was moved aside when a pass was cut off.
Result<void> WebdavNotebook::recover_index() {
  const auto left = server_.list(files_.arriving());
  if (!left) return left.error();
  if (!*left || (*left)->empty()) return {};
  if (auto back = files_.put_back(files_.arriving(), **left, ""); !back) return back;
  return files_.clear(files_.arriving(), **left, "", is_untouched_index);
}

Result<WebdavNotebook::Here> WebdavNotebook::who_is_at(const std::string& folder,
                                                       const RunEntry& entry) {
  for (const char* const name : {proof_name, run_record_name}) {
    const auto text = server_.get(dav_below(folder, name));
    if (!text) return text.error();
    const std::string run = run_named_in(*text);
    if (!run.empty()) return run == entry.id ? Here::this_run : Here::another;
  }
  const auto there = server_.has_collection(folder);
  if (!there) return there.error();
  return *there ? Here::another : Here::nobody;
}

/// The entry's files in a collection of our own. @return its path
Result<std::string> WebdavNotebook::upload(const RunEntry& entry) {
  std::string under_way = files_.new_name();
  if (auto made = server_.make_collection(under_way); !made) return made.error();
  for (const BundleFile& file : entry.files) {
    if (auto put = server_.put(dav_below(under_way, file.path), file.bytes); !put) {
      return put.error();
    }
  }
  return under_way;
}

Result<Arrival> WebdavNotebook::bring(const RunEntry& entry) {
  for (const std::string& folder : folder_names(entry)) {
    const auto here = who_is_at(folder, entry);
    if (!here) return here.error();
    if (*here == Here::this_run) return bring_to(folder, entry);
    if (*here == Here::another) continue;
    const auto under_way = upload(entry);
    if (!under_way) return under_way.error();
    const auto moved = server_.move(*under_way, folder, DavKind::collection);
    if (!moved) return moved.error();
    if (*moved == Moved::done) return Arrival{};
    // The answer to a repetition of the move, or somebody came in between.
    const auto now = who_is_at(folder, entry);
    if (!now) return now.error();
    if (*now == Here::this_run) return bring_to(folder, entry);
    return Error{Fault::try_later,
                 server_.url().shown(folder) + ": somebody else writes there just now"};
  }
  return place_taken(server_.url().shown(entry.folder), entry);
}

/// What is there of the run, when all that lay aside has been put back or cleared away.
Result<ArrivedRun> WebdavNotebook::arrived_at(const std::string& folder, const RunEntry& entry) {
  const auto entries = server_.list(folder);
  if (!entries) return entries.error();
  const std::vector<DavEntry> listed = entries->value_or(std::vector<DavEntry>{});
  if (auto back = files_.put_back(folder, listed, folder); !back) return back.error();
  const auto proof = server_.get(dav_below(folder, proof_name));
  if (!proof) return proof.error();
  ArrivedRun there(proof->value_or(""), server_.url().shown(folder));
  const auto known = [&](const std::string& bytes) { return there.knows(bytes, entry); };
  if (auto cleared = files_.clear(folder, listed, folder, known); !cleared) return cleared.error();
  return there;
}

Result<Arrival> WebdavNotebook::bring_to(const std::string& folder, const RunEntry& entry) {
  const auto there = arrived_at(folder, entry);
  if (!there) return there.error();
  Arrival arrival;
  arrival.was_there = there->has(entry);
  if (arrival.was_there) {
    if (auto added = add_missing(folder, entry); !added) return added.error();
    return arrival;
  }
  // The proof comes last: until then the folder is that of the revision before.
  for (const BundleFile& file : entry.files) {
    if (auto brought = bring_file(folder, *there, entry, file, arrival); !brought) {
      return brought.error();
    }
  }
  return arrival;
}

/// What a server lost of a revision that it has.
Result<void> WebdavNotebook::add_missing(const std::string& folder, const RunEntry& entry) {
  const auto entries = server_.list(folder);
  if (!entries) return entries.error();
  for (const BundleFile& file : entry.files) {
    const bool is_there =
        *entries && std::any_of((*entries)->begin(), (*entries)->end(),
                                [&](const DavEntry& one) { return one.name == file.path; });
    if (is_there) continue;
    const auto added = files_.add(dav_below(folder, file.path), file.bytes);
    if (!added) return added.error();
  }
  return {};
}

Result<void> WebdavNotebook::bring_file(const std::string& folder, const ArrivedRun& there,
                                        const RunEntry& entry, const BundleFile& file,
                                        Arrival& arrival) {
  const std::string path = dav_below(folder, file.path);
  const auto bytes = server_.get(path);
  if (!bytes) return bytes.error();
  if (*bytes == file.bytes) return {};
  if (!*bytes) {
    const auto added = files_.add(path, file.bytes);
    if (!added) return added.error();
    if (*added == Moved::done) return {};
  } else if (there.wrote(file.path, **bytes)) {
    const auto known = [&](const std::string& old) { return there.wrote(file.path, old); };
    const auto replaced = files_.replace(path, file.bytes, folder, known);
    if (!replaced) return replaced.error();
    if (*replaced) return {};
  }
  const std::string beside = name_of_revision(file.path, entry.revision);
  arrival.remarks.push_back(changed_by_hand(server_.url().shown(path), entry.revision, beside));
  const auto added = files_.add(dav_below(folder, beside), file.bytes);
  if (!added) return added.error();
  if (*added != Moved::taken) return {};
  const auto other = server_.get(dav_below(folder, beside));
  if (!other) return other.error();
  if (*other == file.bytes) return {};
  return Error{Fault::bad_data, server_.url().shown(dav_below(folder, beside)) +
                                    ": is there already; move it away, then nestcup sync"};
}

Result<KeptHead> WebdavNotebook::head_at(const std::string& path) {
  const auto text = server_.get(path);
  if (!text) return text.error();
  if (!*text) return KeptHead{};
  return parse_head(**text, server_.url().shown(path));
}

Result<KeptHead> WebdavNotebook::head(const std::string& book, const std::string& bench) {
  const auto usual = head_at(head_file_name({bench, {book, 0, ""}}));
  if (!usual || usual->head.book == book) return usual;
  // The bench may have had another name: by the end of the file's, and the newest of several.
  const auto entries = server_.list("");
  if (!entries) return entries.error();
  const std::string end = fmt::format(" {}.json", book_mark(book));
  KeptHead newest;
  for (const DavEntry& entry : entries->value_or(std::vector<DavEntry>{})) {
    if (!entry.name.starts_with("chain ") || !entry.name.ends_with(end)) continue;
    const auto head = head_at(entry.name);
    if (!head) return head.error();
    if (head->head.book == book && head->head.links >= newest.head.links) newest = *head;
  }
  return newest;
}

Result<void> WebdavNotebook::keep_head(const KeptHead& head) {
  return files_.set(head_file_name(head), head_text(head));
}

Result<std::vector<std::string>> WebdavNotebook::keep_index(const KeptHead& head,
                                                            const IndexNews& news) {
  const std::string name = index_file_name(head, news.month);
  auto there = server_.get(name);
  if (!there) return there.error();
  if (!*there) {
    // The last request of a pass that was cut off may have moved it aside only just now.
    if (auto back = recover_index(); !back) return back.error();
    there = server_.get(name);
    if (!there) return there.error();
  }
  const auto text = new_index(*there, head, news);
  if (!text) return text.error();
  if (!*there) {
    const auto added = files_.add(name, *text);
    if (!added) return added.error();
    if (*added == Moved::done) return std::vector<std::string>{};
  } else {
    const auto known = [&](const std::string& bytes) {
      return bytes == **there && is_untouched_index(bytes);
    };
    const auto replaced = files_.replace(name, *text, files_.arriving(), known);
    if (!replaced) return replaced.error();
    if (*replaced) return std::vector<std::string>{};
  }
  const std::string beside = index_beside(name);
  if (auto set = files_.set(beside, *text); !set) return set.error();
  return std::vector<std::string>{index_changed_by_hand(server_.url().shown(name), beside)};
}

}  // namespace nestcup
