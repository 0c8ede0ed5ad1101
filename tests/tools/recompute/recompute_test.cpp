// What nestcup recompute says of rises that moved.
#include <cmath>

#include "core/record/run_record.hpp"
#include "tests/catch.hpp"
#include "tests/notebook/temporary_folder.hpp"
#include "tests/record/simulated_store.hpp"
#include "tests/tools/typed.hpp"

using namespace nestcup;
using testing::Outcome;
using testing::typed_words;

namespace {

constexpr double moved_K = -simulated_earlier_rise_K;

/// Three runs by an older analysis, of two simulated kinds, none struck out.
std::string older_store(const TemporaryFolder& folder) {
  const std::string path = folder.at("bench.db");
  make_simulated_store(path, {3, 2, analysis_version - 1, ""});
  return path;
}

Json said(const std::string& store, const std::string& threads) {
  const Outcome outcome =
      typed_words({"recompute", "--store", store, "--dry-run", "--json", "--threads", threads});
  REQUIRE(outcome.code == 0);
  return Json::parse(outcome.out);
}

}  // namespace

TEST_CASE("recompute says by how much rises moved, in K and in u") {
  const TemporaryFolder folder;
  const std::string store = older_store(folder);
  const Json alone = said(store, "1");
  CHECK(said(store, "3") == alone);
  REQUIRE(alone.at("runs").size() == 3);
  double largest_u = 0.0;
  for (const Json& run : alone.at("runs")) {
    const double u_K = run.at("before").at("corrected_rise_K").at("u");
    CHECK_THAT(run.at("moved_K").get<double>(), WithinAbs(moved_K, 1e-12));
    CHECK_THAT(run.at("moved_u").get<double>(), WithinRel(moved_K / u_K, 1e-9));
    largest_u = std::max(largest_u, std::abs(moved_K) / u_K);
  }
  CHECK(alone.at("changed") == 3);
  CHECK_THAT(alone.at("largest_move_K").get<double>(), WithinAbs(std::abs(moved_K), 1e-12));
  CHECK_THAT(alone.at("largest_move_u").get<double>(), WithinRel(largest_u, 1e-9));

  const Outcome dry = typed_words({"recompute", "--store", store, "--dry-run"});
  CHECK_THAT(dry.out, ContainsSubstring("3 of 3 runs would change; nothing is written; "
                                        "largest move of a rise: 0.038 K"));
  const Outcome done = typed_words({"recompute", "--store", store, "--threads", "2"});
  CHECK(done.code == 0);
  CHECK_THAT(done.out, ContainsSubstring("moved by -0.038 K, "));
  CHECK_THAT(done.out, ContainsSubstring("\n3 of 3 runs changed; largest move of a rise: "));
  const Outcome again = typed_words({"recompute", "--store", store});
  CHECK(again.out == "0 of 3 runs changed\n");
}

TEST_CASE("a number of threads is from 1 to 64") {
  const TemporaryFolder folder;
  for (const char* wrong : {"0", "65", "-1", "two", "1.5"}) {
    const Outcome outcome =
        typed_words({"recompute", "--store", folder.at("none.db"), "--threads", wrong});
    CHECK(outcome.code == 64);
    CHECK_THAT(outcome.err, ContainsSubstring("--threads"));
  }
}
