#include "core/notebook/arrived.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/base/digest.hpp"

namespace nestcup {
namespace {

constexpr std::size_t longer_id_end = 12;

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

std::array<std::string, 2> folder_names(const RunEntry& entry) {
  const std::size_t end = std::min(entry.id.size(), longer_id_end);
  return {entry.folder, entry.folder + entry.id.substr(entry.id.size() - end, end / 2)};
}

std::string run_named_in(const std::optional<std::string>& text) {
  const Json json = text ? Json::parse(*text, nullptr, false) : Json();
  for (const char* const key : {"run", "id"}) {
    if (json.is_object() && json.contains(key) && json[key].is_string()) return json[key];
  }
  return {};
}

ArrivedRun::ArrivedRun(std::string text, const std::string& where) : proof_text(std::move(text)) {
  auto parsed = parse_proof(proof_text, where);
  if (parsed) proof = std::move(*parsed);
}

bool ArrivedRun::has(const RunEntry& entry) const {
  const auto own = entry.bytes_of(run_record_name);
  if (proof.revisions.size() < static_cast<std::size_t>(entry.revision)) return false;
  const auto digest = record_sha256(*own);
  const ProofRevision& there = proof.revisions[static_cast<std::size_t>(entry.revision) - 1];
  return digest && there.link.record_sha256 == *digest;
}

bool ArrivedRun::wrote(const std::string& name, const std::string& bytes) const {
  if (name == proof_name) return bytes == proof_text;
  const auto stated = std::find_if(proof.files.begin(), proof.files.end(),
                                   [&](const auto& file) { return file.first == name; });
  return stated != proof.files.end() && sha256_hex(bytes) == stated->second;
}

bool ArrivedRun::knows(const std::string& bytes, const RunEntry& entry) const {
  const std::string digest = sha256_hex(bytes);
  return std::any_of(proof.files.begin(), proof.files.end(),
                     [&](const auto& file) { return file.second == digest; }) ||
         bytes == proof_text || is_earlier_proof(bytes, proof) ||
         std::any_of(entry.files.begin(), entry.files.end(),
                     [&](const BundleFile& file) { return file.bytes.starts_with(bytes); });
}

std::string changed_by_hand(const std::string& where, int revision, const std::string& beside) {
  return fmt::format("{} was changed by hand and stays; revision {} lies beside it as {}", where,
                     revision, beside);
}

std::string index_changed_by_hand(const std::string& where, const std::string& beside) {
  return fmt::format("{} was changed by hand and stays; the new index lies beside it as {}", where,
                     beside);
}

std::string index_beside(const std::string& name) {
  constexpr std::string_view end = ".md";
  return name.substr(0, name.size() - end.size()) + " (anew)" + std::string(end);
}

Error place_taken(const std::string& where, const RunEntry& entry) {
  return {Fault::bad_data,
          fmt::format("{}: is there already and is no folder of run {}; move it away, then nestcup "
                      "sync",
                      where, entry.number)};
}

}  // namespace nestcup
