// What a notebook has of a run already: told from its files, whoever else wrote into them.
#include "core/notebook/arrived.hpp"

#include "tests/catch.hpp"
#include "tests/notebook/temporary_folder.hpp"
#include "tests/record/simulated_store.hpp"

using namespace nestcup;

namespace {

/// The last run of a store, which was struck out, as it was before and as it is.
struct StruckRun {
  RunEntry before, after;

  StruckRun() {
    const TemporaryFolder folder;
    make_simulated_store(folder.at("bench.db"), {2, 1});
    const Store store = Store::open(folder.at("bench.db"), StoreMode::read).value();
    const auto run = store.find_run("2");
    before = run_entry(store, run->id, 1, {Language::english, false}).value();
    after = run_entry(store, run->id, 2, {Language::english, false}).value();
  }
};

const StruckRun& struck_run() {
  static const StruckRun run;
  return run;
}

std::string bytes_of(const RunEntry& entry, std::string_view name) {
  return *entry.bytes_of(name);
}

}  // namespace

TEST_CASE("the revisions that have arrived are those that the proof tells") {
  const auto& [before, after] = struck_run();
  const ArrivedRun first(bytes_of(before, proof_name), "here");
  CHECK(first.has(before));
  CHECK_FALSE(first.has(after));
  const ArrivedRun both(bytes_of(after, proof_name), "here");
  CHECK(both.has(before));
  CHECK(both.has(after));
  CHECK_FALSE(ArrivedRun("", "here").has(before));
  CHECK_FALSE(ArrivedRun("{ cut off", "here").has(before));
}

TEST_CASE("what was written here is told from what somebody changed") {
  const auto& [before, after] = struck_run();
  const ArrivedRun there(bytes_of(after, proof_name), "here");
  const std::string record = bytes_of(after, run_record_name);
  CHECK(there.wrote(run_record_name, record));
  CHECK_FALSE(there.wrote(run_record_name, record + " "));
  CHECK_FALSE(there.wrote("notes.txt", record));
  CHECK(there.wrote(proof_name, there.proof_text));
  CHECK_FALSE(there.wrote(proof_name, there.proof_text + "\n"));
}

TEST_CASE("a file left aside is known where it is whole, cut off, or an earlier proof") {
  const auto& [before, after] = struck_run();
  const ArrivedRun there(bytes_of(after, proof_name), "here");
  const std::string record = bytes_of(after, run_record_name);
  CHECK(there.knows(record, after));
  CHECK(there.knows(record.substr(0, record.size() / 2), after));
  CHECK(there.knows(there.proof_text, after));

  const std::string earlier = bytes_of(before, proof_name);
  CHECK(there.knows(earlier, after));
  CHECK_FALSE(there.knows(earlier + " ", after));
  Json others = Json::parse(earlier);
  others["run"] = "018f3c6a-0000-7000-8000-0000aae6401d";
  CHECK_FALSE(there.knows(others.dump(2) + "\n", after));
  CHECK_FALSE(there.knows("a note of somebody's", after));
  // A later proof is not one that this run's took the place of.
  const ArrivedRun first(earlier, "here");
  CHECK_FALSE(first.knows(bytes_of(after, proof_name), before));
}

TEST_CASE("a file names its run, or says nothing") {
  const auto& [before, after] = struck_run();
  CHECK(run_named_in(bytes_of(before, run_record_name)) == before.id);
  CHECK(run_named_in(bytes_of(before, proof_name)) == before.id);
  for (const char* const other : {"", "no JSON", "[1]", R"({"run": 7})", R"({"title": "x"})"}) {
    CHECK(run_named_in(std::string(other)).empty());
  }
  CHECK(run_named_in(std::nullopt).empty());
}

TEST_CASE("names of folders and of what lies beside what somebody changed") {
  const auto& entry = struck_run().before;
  const auto names = folder_names(entry);
  CHECK(names[0] == entry.folder);
  CHECK(names[1] == entry.folder + entry.id.substr(entry.id.size() - 12, 6));
  CHECK(index_beside("index 2026-11 bench-4 e6401d.md") ==
        "index 2026-11 bench-4 e6401d (anew).md");
  CHECK(place_taken("/notes/x", entry).kind == Fault::bad_data);
  CHECK_THAT(place_taken("/notes/x", entry).text, ContainsSubstring("/notes/x"));
}
