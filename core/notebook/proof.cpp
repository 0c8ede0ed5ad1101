#include "core/notebook/proof.hpp"

#include <fmt/format.h>

#include "core/base/digest.hpp"
#include "core/notebook/run_entry.hpp"

namespace nestcup {
namespace {

constexpr const char* proof_format = "nestcup-proof";
constexpr int proof_version = 1;

Result<Json> revision_json(const Chain& chain, const StoredRun& run,
                           const StoredRevision& revision) {
  const auto link = chain.link_of(run.id, revision.revision);
  if (!link) return link.error();
  if (!*link) {
    return Error{Fault::bad_data, fmt::format("run {}: revision {} is in no chain of records",
                                              run.number, revision.revision)};
  }
  const auto before = chain.links((*link)->number - 1, (*link)->number - 1);
  if (!before) return before.error();
  const bool newest = revision.revision == run.revision;
  return Json{{"revision", revision.revision},
              {"action", revision.note.action},
              {"reason", revision.note.reason},
              {"who", revision.note.who},
              {"wall_us", revision.note.wall_us},
              {"file", newest ? "run.json" : name_of_revision("run.json", revision.revision)},
              {"record_sha256", (*link)->record_sha256},
              {"link", (*link)->number},
              {"previous_sha256", before->empty() ? "" : before->front().sha256},
              {"link_sha256", (*link)->sha256}};
}

ProofRevision revision_of(const Json& json, const std::string& run_id) {
  ProofRevision revision;
  revision.revision = json.at("revision").get<int>();
  revision.note = {json.at("action"), json.at("reason"), json.at("who"),
                   json.at("wall_us").get<TimeUs>()};
  revision.file = json.at("file");
  revision.link = {json.at("link").get<int>(), run_id, revision.revision, json.at("record_sha256"),
                   json.at("link_sha256")};
  revision.previous_sha256 = json.at("previous_sha256");
  return revision;
}

Proof proof_of(const Json& json) {
  Proof proof;
  proof.run_id = json.at("run");
  proof.number = json.at("number").get<int>();
  proof.first_us = json.at("first_us").get<TimeUs>();
  proof.last_us = json.at("last_us").get<TimeUs>();
  proof.book = json.at("book");
  for (const Json& revision : json.at("revisions")) {
    proof.revisions.push_back(revision_of(revision, proof.run_id));
  }
  for (const Json& sheet : json.at("sheets")) {
    proof.sheets.push_back(
        {sheet.at("file"),
         {sheet.at("sha256"), sheet.at("title"), "", sheet.at("first_used_us").get<TimeUs>()}});
  }
  for (const auto& [path, sha256] : json.at("files").items()) {
    proof.files.emplace_back(path, sha256.get<std::string>());
  }
  return proof;
}

/// Revisions count from 1 on without a gap.
bool in_order(const Proof& proof) {
  for (std::size_t i = 0; i < proof.revisions.size(); ++i) {
    if (proof.revisions[i].revision != static_cast<int>(i) + 1) return false;
  }
  return !proof.revisions.empty();
}

}  // namespace

Result<Json> proof_json(const Store& store, const StoredRun& run,
                        const std::vector<StoredRevision>& revisions,
                        const std::vector<ProofSheet>& sheets,
                        const std::vector<BundleFile>& files) {
  const Chain chain(store);
  const auto head = chain.head();
  if (!head) return head.error();
  Json proof{{"format", proof_format}, {"version", proof_version}, {"run", run.id},
             {"number", run.number},   {"first_us", run.first_us}, {"last_us", run.last_us},
             {"book", head->book}};
  proof["revisions"] = Json::array();
  for (const StoredRevision& revision : revisions) {
    auto told = revision_json(chain, run, revision);
    if (!told) return told.error();
    proof["revisions"].push_back(std::move(*told));
  }
  proof["sheets"] = Json::array();
  for (const ProofSheet& sheet : sheets) {
    proof["sheets"].push_back({{"file", sheet.file},
                               {"sha256", sheet.sheet.sha256},
                               {"title", sheet.sheet.title},
                               {"first_used_us", sheet.sheet.first_used_us}});
  }
  proof["files"] = Json::object();
  for (const BundleFile& file : files) proof["files"][file.path] = sha256_hex(file.bytes);
  return proof;
}

Result<Proof> parse_proof(const std::string& text, const std::string& name) {
  try {
    const Json json = Json::parse(text);
    if (json.value("format", "") == proof_format) {
      Proof proof = proof_of(json);
      if (in_order(proof)) return proof;
    }
  } catch (const Json::exception&) {
    // Told below, as all else that is none.
  }
  return Error{Fault::bad_data,
               fmt::format("{}: is no proof of a run; expected the {} that lies beside a run.json",
                           name, proof_name)};
}

}  // namespace nestcup
