#include "core/notebook/kept_runs.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <fstream>
#include <set>

#include "core/base/digest.hpp"
#include "core/notebook/archive.hpp"
#include "core/notebook/place_steps.hpp"
#include "core/notebook/postgres/place.hpp"

namespace nestcup {
namespace {

namespace fs = std::filesystem;

// A folder of benches, a notebook or crate in it, the run in that.
constexpr int deepest = 3;
constexpr const char* record_name = "run.json";
constexpr std::string_view head_lead = "chain ";

Result<std::string> readable_bytes(const std::string& path) {
  auto bytes = bytes_at(path);
  if (!bytes) return Error{Fault::io, path + ": cannot be read"};
  return std::move(*bytes);
}

std::string below(const std::string& folder, const std::string& name) {
  return folder.empty() ? name : folder + '/' + name;
}

/// 2 for "proof.r2.json", 0 for "proof.json", nothing for any other name.
std::optional<int> revision_of_proof(const std::string& name) {
  if (name == proof_name) return 0;
  constexpr std::string_view lead = "proof.r";
  constexpr std::string_view end = ".json";
  if (!name.starts_with(lead) || !name.ends_with(end)) return std::nullopt;
  int revision = 0;
  for (std::size_t i = lead.size(); i < name.size() - end.size(); ++i) {
    if (name[i] < '0' || name[i] > '9' || revision > 100'000) return std::nullopt;
    revision = revision * 10 + (name[i] - '0');
  }
  return revision > 0 ? std::optional(revision) : std::nullopt;
}

/// By the first bytes of every SQLite file (https://www.sqlite.org/fileformat2.html, 1.3).
bool is_store_file(const std::string& path) {
  constexpr std::string_view magic{"SQLite format 3\0", 16};
  std::array<char, magic.size()> begin{};
  std::ifstream file(path, std::ios::binary);
  return file.read(begin.data(), begin.size()) && magic == std::string_view(begin.data(), 16);
}

bool is_record(const std::string& text) {
  const Json json = Json::parse(text, nullptr, false);
  return json.is_object() && json.value("format", Json()) == "nestcup-run";
}

}  // namespace

bool PlaceFiles::has(const std::string& file) const {
  std::error_code code;
  return archive ? archive->contains(file) : fs::is_regular_file(fs::path(path) / file, code);
}

Result<std::string> PlaceFiles::bytes(const std::string& file) const {
  if (!archive) return readable_bytes((fs::path(path) / file).string());
  const auto found = archive->find(file);
  if (found != archive->end()) return found->second;
  return Error{Fault::io, path + ": holds no " + file};
}

std::string PlaceFiles::where(const std::string& below) const {
  if (below.empty()) return path;
  return archive ? path + ": " + below : (fs::path(path) / below).string();
}

/// Finds the runs of a place.
class PlaceReader {
 public:
  explicit PlaceReader(KeptPlace& place) : place_(place), files_(place.files_) {}

  Result<void> read() {
    if (!files_.archive) return read_folder("", deepest);
    std::map<std::string, std::vector<std::string>> folders;
    for (const auto& [path, bytes] : *files_.archive) {
      const std::size_t end = path.rfind('/');
      const bool at_top = end == std::string::npos;
      folders[at_top ? "" : path.substr(0, end)].push_back(at_top ? path : path.substr(end + 1));
    }
    for (const auto& [folder, names] : folders) take(folder, names);
    return {};
  }

 private:
  Result<void> read_folder(const std::string& folder, int depth) {
    std::vector<std::string> names;
    std::vector<std::string> folders;
    std::error_code code;
    for (fs::directory_iterator at(fs::path(files_.path) / folder, code), end; !code && at != end;
         at.increment(code)) {
      const std::string name = at->path().filename().string();
      std::error_code own;
      const fs::file_status status = at->symlink_status(own);
      // Hidden ones are others' affairs, or runs on their way into a notebook.
      if (name.starts_with('.')) continue;
      if (fs::is_directory(status)) folders.push_back(name);
      if (fs::is_regular_file(status)) names.push_back(name);
    }
    if (code) {
      const Error error{
          Fault::io, fmt::format("{}: cannot be read: {}", files_.where(folder), code.message())};
      if (folder.empty()) return error;
      place_.problems_.push_back(error.text);
      return {};
    }
    if (take(folder, names) || depth == 0) return {};
    std::sort(folders.begin(), folders.end());
    for (const std::string& name : folders) {
      if (auto read = read_folder(below(folder, name), depth - 1); !read) return read;
    }
    return {};
  }

  /// Takes what a folder holds. @return whether it is a run's
  bool take(const std::string& folder, const std::vector<std::string>& names) {
    std::vector<std::pair<int, std::string>> proofs;
    for (const std::string& name : names) {
      if (const auto revision = revision_of_proof(name)) proofs.emplace_back(*revision, name);
      if (name.starts_with(head_lead) && name.ends_with(".json")) take_head(below(folder, name));
    }
    std::sort(proofs.begin(), proofs.end());
    if (!proofs.empty()) return take_run(folder, proofs);
    if (std::find(names.begin(), names.end(), record_name) == names.end()) return false;
    const auto record = files_.bytes(below(folder, record_name));
    if (!record || !is_record(*record)) return false;
    place_.problems_.push_back(fmt::format("{}: has a {} and no {}, by which it could be checked",
                                           files_.where(folder), record_name, proof_name));
    return true;
  }

  bool take_run(const std::string& folder, const std::vector<std::pair<int, std::string>>& names) {
    KeptEntry entry{folder, files_.where(folder), "", {}};
    std::string problem;
    for (const auto& [revision, name] : names) {
      const auto text = files_.bytes(below(folder, name));
      auto proof =
          text ? parse_proof(*text, below(entry.where, name)) : Result<Proof>(text.error());
      if (!proof) {
        problem = proof.error().text;
      } else if (proof->revisions.size() >= entry.proof.revisions.size()) {
        entry.proof = std::move(*proof);
        entry.proof_file = name;
      }
    }
    if (entry.proof_file.empty()) {
      place_.problems_.push_back(problem);
    } else {
      place_.entries_.push_back(std::move(entry));
    }
    return true;
  }

  void take_head(const std::string& path) {
    const auto text = files_.bytes(path);
    auto head = text ? parse_head(*text, files_.where(path)) : Result<KeptHead>(text.error());
    if (head) {
      place_.ends_.push_back({files_.where(path), std::move(*head)});
    } else {
      place_.problems_.push_back(head.error().text);
    }
  }

  KeptPlace& place_;
  const PlaceFiles& files_;
};

std::optional<KeptFile> KeptRun::file(const std::string& name) const {
  const auto stated = std::find_if(proof.files.begin(), proof.files.end(),
                                   [&](const auto& one) { return one.first == name; });
  const std::string digest = stated == proof.files.end() ? "" : stated->second;
  const int newest = static_cast<int>(proof.revisions.size());
  for (const std::string& tried : {name, name_of_revision(name, newest)}) {
    const auto there = files.find(tried);
    if (there != files.end() && sha256_hex(there->second) == digest) {
      return KeptFile{tried, there->second, true};
    }
  }
  const auto there = files.find(name);
  if (there == files.end()) return std::nullopt;
  return KeptFile{name, there->second, false};
}

Result<KeptPlace> KeptPlace::open(const std::string& path) {
  if (is_postgres_address(path)) return postgres_place({"postgres", path});
  std::error_code code;
  const fs::file_status status = fs::status(path, code);
  if (!fs::exists(status)) return Error{Fault::no_input, path + ": no such folder or archive"};
  KeptPlace place;
  place.files_.path = path;
  if (fs::is_regular_file(status) && is_store_file(path)) {
    return Error{Fault::usage, path + ": is a store, no notebook or archive; name it with --store"};
  }
  if (!fs::is_directory(status)) {
    auto files = read_archive(path);
    if (!files) return files.error();
    auto named = std::make_shared<std::map<std::string, std::string>>();
    for (BundleFile& file : *files) named->emplace(file.path, std::move(file.bytes));
    place.files_.archive = std::move(named);
  }
  if (auto read = PlaceReader(place).read(); !read) return read.error();
  return place;
}

KeptPlace KeptPlace::of(std::string path, std::shared_ptr<const KeptSource> source,
                        Tables tables) {
  KeptPlace place;
  place.files_.path = std::move(path);
  place.source_ = std::move(source);
  place.entries_ = std::move(tables.entries);
  place.ends_ = std::move(tables.ends);
  place.links_ = std::move(tables.links);
  place.problems_ = std::move(tables.problems);
  return place;
}

Result<KeptRun> KeptPlace::read(const KeptEntry& entry) const {
  if (source_) return source_->read(entry);
  KeptRun run{entry.where, entry.proof, {}};
  const int newest = static_cast<int>(entry.proof.revisions.size());
  std::set<std::string> names = {entry.proof_file};
  for (const auto& [name, digest] : entry.proof.files) {
    names.insert({name, name_of_revision(name, newest)});
  }
  for (const ProofRevision& revision : entry.proof.revisions) names.insert(revision.file);
  for (const ProofSheet& sheet : entry.proof.sheets) names.insert(sheet.file);
  for (const std::string& name : names) {
    if (auto good = check_bundle_path(name); !good) {
      return Error{Fault::bad_data, fmt::format("{}: {} names the file {}", entry.where,
                                                entry.proof_file, good.error().text)};
    }
    if (!files_.has(below(entry.folder, name))) continue;
    auto bytes = files_.bytes(below(entry.folder, name));
    if (!bytes) return bytes.error();
    run.files.emplace(name, std::move(*bytes));
  }
  return run;
}

}  // namespace nestcup
