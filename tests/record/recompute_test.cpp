// Stored runs worked out anew, on any number of threads.
#include "core/record/recompute_runs.hpp"

#include "tests/catch.hpp"
#include "tests/notebook/temporary_folder.hpp"
#include "tests/record/simulated_store.hpp"

using namespace nestcup;

namespace {

constexpr int run_count = 5;

/// Runs by an older analysis, the last one struck out.
std::string older_store(const TemporaryFolder& folder) {
  const std::string path = folder.at("pattern.db");
  make_simulated_store(path, {run_count, 2, analysis_version - 1, "demo"});
  return path;
}

/// Every revision of every run, after all were worked out anew.
Json revisions_after(const std::string& pattern, const std::string& copy, int threads) {
  std::filesystem::copy_file(pattern, copy);
  auto store = Store::open(copy, StoreMode::write);
  REQUIRE(store);
  std::vector<int> order;
  const auto done =
      recompute_runs(*store, *store->runs(), std::nullopt, threads, [&](const Recomputed& made) {
        order.push_back(made.run.number);
        return store_recomputed(*store, made, std::nullopt, {"recomputed", "", "demo", 7});
      });
  REQUIRE(done);
  CHECK(order == std::vector<int>{1, 2, 3, 4, 5});
  Json all = Json::array();
  const auto runs = store->runs();
  for (const StoredRun& run : *runs) {
    const auto revisions = store->revisions(run.id);
    for (const StoredRevision& revision : *revisions) {
      all.push_back({run.number, run.status, revision.revision, revision.note.action,
                     revision.note.reason, Json::parse(revision.record_json)});
    }
  }
  return all;
}

}  // namespace

TEST_CASE("two threads, and more than there are runs, store what one does") {
  const TemporaryFolder folder;
  const std::string pattern = older_store(folder);
  const Json alone = revisions_after(pattern, folder.at("one.db"), 1);
  REQUIRE(alone.size() == 2 * run_count);  // four worked out anew, one struck out
  for (const Json& revision : alone) {
    if (revision[2] != 2 || revision[1] != "finished") continue;
    CHECK(revision[5]["software"]["analysis"] == analysis_version);
    CHECK(revision[4] == "analysis " + std::to_string(analysis_version) + " instead of " +
                             std::to_string(analysis_version - 1));
  }
  CHECK(revisions_after(pattern, folder.at("two.db"), 2) == alone);
  CHECK(revisions_after(pattern, folder.at("many.db"), 9) == alone);
}

TEST_CASE("an error ends the work behind the runs before it, on any number of threads") {
  const TemporaryFolder folder;
  const std::string path = older_store(folder);
  const auto store = Store::open(path, StoreMode::read);
  REQUIRE(store);
  auto runs = *store->runs();
  runs[2].record_json = "{}";
  for (const int threads : {1, 2, 4}) {
    std::vector<int> taken;
    const auto take = [&](const Recomputed& made) {
      taken.push_back(made.run.number);
      return Result<void>();
    };
    const auto done = recompute_runs(*store, runs, std::nullopt, threads, take);
    REQUIRE_FALSE(done);
    CHECK(done.error().kind == Fault::bad_data);
    CHECK_THAT(done.error().text, ContainsSubstring("run 3"));
    CHECK(taken == std::vector<int>{1, 2});
  }
}

TEST_CASE("whoever takes may end the work") {
  const TemporaryFolder folder;
  const auto store = Store::open(older_store(folder), StoreMode::read);
  REQUIRE(store);
  for (const int threads : {1, 3}) {
    const auto refuse = [](const Recomputed& made) -> Result<void> {
      if (made.run.number < 2) return {};
      return Error{Fault::io, "the disk is full"};
    };
    const auto done = recompute_runs(*store, *store->runs(), std::nullopt, threads, refuse);
    REQUIRE_FALSE(done);
    CHECK(done.error().text == "the disk is full");
  }
}
