// Runs of a store as a crate: what is in it, and where it is put.
#include "core/notebook/pack.hpp"

#include <algorithm>
#include <memory>

#include "core/base/digest.hpp"
#include "core/notebook/notebook.hpp"
#include "core/notebook/proof.hpp"
#include "core/store/chain.hpp"
#include "tests/catch.hpp"
#include "tests/notebook/temporary_folder.hpp"
#include "tests/record/simulated_store.hpp"

using namespace nestcup;

namespace {

constexpr const char* login = "a-login-name";

/// One store of three runs, the last one struck out, for all cases: none changes it.
const Store& some_store() {
  static const TemporaryFolder folder;
  static const Store store = [] {
    make_simulated_store(folder.at("bench.db"), {3, 2, analysis_version, login});
    return Store::open(folder.at("bench.db"), StoreMode::read).value();
  }();
  return store;
}

Result<Pack> try_pack(const PackOptions& options, const Store& store = some_store()) {
  return make_pack(store, options, [](std::size_t, std::size_t) {});
}

Pack packed(const PackOptions& options = {}) {
  auto pack = try_pack(options);
  REQUIRE(pack);
  return std::move(*pack);
}

PackOptions of_runs(std::vector<std::string> which) {
  PackOptions options;
  options.which = std::move(which);
  return options;
}

const std::string& bytes_in(const Pack& pack, const std::string& path) {
  const auto file = std::find_if(pack.files.begin(), pack.files.end(),
                                 [&](const BundleFile& one) { return one.path == path; });
  INFO(path);
  REQUIRE(file != pack.files.end());
  return file->bytes;
}

/// The metadata's nodes by their ids.
Json nodes_of(const Pack& pack) {
  REQUIRE(pack.files.front().path == crate_metadata_name);
  Json nodes;
  const Json document = Json::parse(pack.files.front().bytes);
  for (const Json& node : document.at("@graph")) nodes[node.at("@id").get<std::string>()] = node;
  return nodes;
}

std::string reference_of(std::string path) {
  for (std::size_t at = 0; (at = path.find(' ', at)) != std::string::npos;) {
    path.replace(at, 1, "%20");
  }
  return path;
}

std::vector<std::string> chain_files(const Pack& pack) {
  std::vector<std::string> found;
  for (const BundleFile& file : pack.files) {
    if (file.path.starts_with("chain ")) found.push_back(file.path);
  }
  return found;
}

}  // namespace

TEST_CASE("each run's folder holds the files of its entry, and the metadata describe them") {
  const Pack pack = packed();
  const Json nodes = nodes_of(pack);
  REQUIRE(pack.runs.size() == 3);
  std::size_t files = 2;  // metadata and end of the chain
  for (const PackedRun& run : pack.runs) {
    const auto entry = run_entry(some_store(), run.id, run.revision);
    REQUIRE(entry);
    CHECK(run.folder == entry->folder);
    CHECK(entry->bytes_of("chart.svg") != nullptr);
    CHECK(run.files == entry->files.size());
    files += run.files;
    for (const BundleFile& file : entry->files) {
      const std::string path = run.folder + "/" + file.path;
      CHECK(bytes_in(pack, path) == file.bytes);
      const Json& node = nodes.at(reference_of(path));
      CHECK(node.at("encodingFormat") == file.media_type);
      CHECK(node.at("sha256") == sha256_hex(file.bytes));
      CHECK(node.at("contentSize") == std::to_string(file.bytes.size()));
    }
  }
  CHECK(pack.files.size() == files);
}

TEST_CASE("measured values are the record's, with its keys and uncertainties") {
  const Pack pack = packed(of_runs({"1"}));
  const std::string& folder = pack.runs.front().folder;
  const Json record = Json::parse(bytes_in(pack, folder + "/run.json"));
  const Json nodes = nodes_of(pack);
  const Json& temperatures = record.at("temperatures");
  const std::vector<std::tuple<std::string, Json, std::string>> expected = {
      {"corrected_rise_K", record.at("corrected_rise_K"), "K"},
      {"mixture_rise_K", record.at("mixture_rise_K"), "K"},
      {"temperatures.cup_at_mixing_degC", temperatures.at("cup_at_mixing_degC"), "degC"},
      {"temperatures.added_at_mixing_degC", temperatures.at("added_at_mixing_degC"), "degC"},
      {"temperatures.final_degC", temperatures.at("final_degC"), "degC"},
      {"heat_leak.rate_per_s", record.at("heat_leak").at("rate_per_s"), "1/s"}};
  const Json& measured = nodes.at(reference_of(folder) + "/").at("variableMeasured");
  REQUIRE(measured.size() == 2 * expected.size());
  for (const auto& [key, quantity, unit] : expected) {
    const std::string id = "#value-" + reference_of(folder) + "/" + key;
    INFO(id);
    CHECK(nodes.at(id).at("propertyID") == key);
    CHECK(nodes.at(id).at("value") == quantity.at("value"));
    CHECK(nodes.at(id).at("unitText") == unit);
    CHECK(nodes.at(id).at("valueReference").at("@id") == id + ".u");
    CHECK(nodes.at(id + ".u").at("value") == quantity.at("u"));
  }
}

TEST_CASE("the same store gives the same bytes, dated by its newest revision") {
  const Pack first = packed(), second = packed();
  REQUIRE(first.files.size() == second.files.size());
  for (std::size_t i = 0; i < first.files.size(); ++i) {
    CHECK(first.files[i].path == second.files[i].path);
    CHECK(first.files[i].bytes == second.files[i].bytes);
  }
  TimeUs newest_us = 0;
  const auto revisions = some_store().revisions(first.runs.back().id);
  for (const StoredRevision& revision : *revisions) {
    newest_us = std::max(newest_us, revision.note.wall_us);
  }
  CHECK(first.newest_us == newest_us);
  // 1 780 014 400 s after 1970 by date(1): the simulated days begin at 1.78e9 s, runs lie an hour
  // apart, and the third was struck out in the fourth hour.
  CHECK(newest_us == 1'780'014'400'000'000);
  CHECK(nodes_of(first).at("./").at("datePublished") == "2026-05-29");
}

TEST_CASE("the end of the chain goes in only with every link of it") {
  const auto head = Chain(some_store()).head();
  REQUIRE(head);
  const Pack whole = packed();
  CHECK(whole.has_chain_end);
  REQUIRE(chain_files(whole).size() == 1);
  const auto kept = parse_head(bytes_in(whole, chain_files(whole).front()), "chain");
  REQUIRE(kept);
  CHECK(kept->bench == "bench-4");
  CHECK(kept->head.book == head->book);
  CHECK(kept->head.links == 4);  // three runs, and one of them struck out
  CHECK(kept->head.links == head->links);
  CHECK(kept->head.last_sha256 == head->last_sha256);
  const Pack all_named = packed(of_runs({"3", "1", "2", "1"}));
  CHECK(all_named.runs.size() == 3);
  CHECK(all_named.has_chain_end);
  for (const char* left_out : {"1", "3"}) {
    PackOptions options;
    for (const char* run : {"1", "2", "3"}) {
      if (run != std::string(left_out)) options.which.emplace_back(run);
    }
    const Pack part = packed(options);
    CHECK_FALSE(part.has_chain_end);
    CHECK(chain_files(part).empty());
  }
  // Links 1 and 2 are an end of the chain as it was once.
  const Pack beginning = packed(of_runs({"1", "2"}));
  CHECK_FALSE(beginning.has_chain_end);
}

TEST_CASE("struck runs say so, with the reason") {
  const Pack pack = packed(of_runs({"3"}));
  CHECK(pack.runs.front().status == "struck");
  const Json node = nodes_of(pack).at(reference_of(pack.runs.front().folder) + "/");
  CHECK(node.at("name") == "warm 3 (run 3), struck out");
  CHECK_THAT(node.at("description").get<std::string>(), ContainsSubstring("spilt, a \"trial\""));
  CHECK_THAT(node.at("keywords").get<std::string>(), ContainsSubstring("struck out"));
}

TEST_CASE("nobody is named who was not given, and logins can be left out") {
  const Pack named = packed();
  const Json nodes = nodes_of(named);
  for (const auto& [id, node] : nodes.items()) CHECK(node.at("@type") != "Person");
  const std::string& folder = named.runs.back().folder;
  CHECK_THAT(bytes_in(named, folder + "/proof.json"), ContainsSubstring(login));
  CHECK_THAT(bytes_in(named, folder + "/page.md"), ContainsSubstring(login));
  PackOptions options;
  options.logins = false;
  options.people = {{"Josiah Carberry", "0000-0002-1825-0097"}};
  const Pack without = packed(options);
  for (const BundleFile& file : without.files) {
    CHECK(file.bytes.find(login) == std::string::npos);
  }
  CHECK(nodes_of(without).at("https://orcid.org/0000-0002-1825-0097").at("name") ==
        "Josiah Carberry");
  // The links do not hold them, and the proof's digests are of the files as they are.
  const auto with = parse_proof(bytes_in(named, folder + "/proof.json"), "named");
  const auto proof = parse_proof(bytes_in(without, folder + "/proof.json"), "without");
  REQUIRE((with && proof));
  for (std::size_t i = 0; i < proof->revisions.size(); ++i) {
    CHECK(proof->revisions[i].link.sha256 == with->revisions[i].link.sha256);
    CHECK(proof->revisions[i].note.who.empty());
  }
  for (const auto& [path, sha256] : proof->files) {
    CHECK(sha256_hex(bytes_in(without, folder + "/" + path)) == sha256);
  }
}

TEST_CASE("what cannot be packed is said") {
  const auto nobody = try_pack(of_runs({"7"}));
  REQUIRE_FALSE(nobody);
  CHECK(nobody.error().kind == Fault::no_input);
  PackOptions twice;
  twice.people = {{"A", "0000-0002-1825-0097"}, {"B", "0000-0002-1825-0097"}};
  CHECK(try_pack(twice).error().kind == Fault::bad_data);
  const TemporaryFolder folder;
  const auto empty = Store::open(folder.at("empty.db"), StoreMode::write);
  const auto nothing = try_pack({}, *empty);
  REQUIRE_FALSE(nothing);
  CHECK(nothing.error().kind == Fault::no_input);
  CHECK_THAT(nothing.error().text, ContainsSubstring("no runs yet"));
  std::filesystem::copy(std::string(NESTCUP_SOURCE_DIR) + "/tests/store/old/version-2.store",
                        folder.at("old.db"));
  const auto old = Store::open(folder.at("old.db"), StoreMode::read);
  REQUIRE(old);
  const auto chainless = try_pack({}, *old);
  REQUIRE_FALSE(chainless);
  CHECK(chainless.error().kind == Fault::bad_data);
  CHECK_THAT(chainless.error().text, ContainsSubstring("older version"));
}
