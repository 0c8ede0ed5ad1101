#include "core/notebook/month_index.hpp"

#include <fmt/format.h>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

const KeptHead head{"bench-4", {"018f3c6a-0000-7000-8000-0000aae6401d", 5, ""}};

IndexLine line(const std::string& folder, const std::string& started, int revision = 1) {
  return {folder,
          {{"started_at", started},
           {"status", "finished"},
           {"trial", {{"name", "oxide | metal"}, {"number", 2}}},
           {"corrected_rise_K", {{"value", 6.214}, {"u", 0.006}}},
           {"revision", revision}}};
}

const IndexLine first = line("a", "2026-11-25T09:10:11.000Z");
const IndexLine second = line("b", "2026-11-25T09:40:00.000Z");
const IndexLine third = line("c", "2026-11-26T08:00:00.000Z");

Result<std::vector<IndexLine>> nobody_asks() {
  FAIL("the whole month is read for nothing");
  return std::vector<IndexLine>{};
}

}  // namespace

TEST_CASE("an index that grew run by run is the one made at once") {
  const std::string whole = index_text(head, "2026-11", {first, second, third});
  auto grown = new_index(std::nullopt, head,
                         {"2026-11", {}, [] { return Result<std::vector<IndexLine>>({third}); }});
  REQUIRE(grown);
  for (const IndexLine& more : {first, second}) {
    grown = new_index(*grown, head, {"2026-11", {more}, nobody_asks});
    REQUIRE(grown);
    CHECK(is_untouched_index(*grown));
  }
  CHECK(*grown == whole);
}

TEST_CASE("a changed run takes its own line's place in an index") {
  const std::string before = index_text(head, "2026-11", {first, second});
  const IndexLine changed = line("a", "2026-11-25T09:10:11.000Z", 2);
  CHECK(index_with(before, {changed}) == index_text(head, "2026-11", {changed, second}));
  CHECK(index_with(before, {second}) == before);
}

TEST_CASE("an index that was written in, or is of another form, is made anew from all runs") {
  const std::string whole = index_text(head, "2026-11", {first, second});
  std::string edited = whole;
  edited.replace(edited.find("6.214"), 5, "6.215");
  int asked = 0;
  const IndexNews news{"2026-11", {second}, [&]() -> Result<std::vector<IndexLine>> {
                         ++asked;
                         return std::vector<IndexLine>{first, second};
                       }};
  for (const std::string& there : {edited, whole + "\n", std::string("# mine\n"), std::string()}) {
    CHECK_FALSE(is_untouched_index(there));
    CHECK_FALSE(index_with(there, {second}));
    CHECK(*new_index(there, head, news) == whole);
  }
  CHECK(asked == 4);
}

TEST_CASE("a line of an index says when, what and how much") {
  const std::string text = index_text(head, "2026-11", {first});
  CHECK(text.find("| 2026-11-25 09:10:11 | [a](<a/page.md>) | oxide   metal 2 | ") !=
        std::string::npos);
  CHECK(month_of(first.record) == "2026-11");
  CHECK(month_of({{"started_at", nullptr}}) == "undated");
  CHECK(index_file_name(head, "2026-11") == "index 2026-11 bench-4 e6401d.md");
}
