#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

#include "tests/catch.hpp"
#include "tests/store/store_fixture.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

bool same_bits(double a, double b) {
  return std::bit_cast<std::uint64_t>(a) == std::bit_cast<std::uint64_t>(b);
}

}  // namespace

TEST_CASE("readings come back bit for bit") {
  const TemporaryFolder folder;
  const std::vector<double> values{0.1 + 0.2,
                                   21.5,
                                   -17.000000000000004,
                                   100.0,
                                   0.0,
                                   1.0 / 3.0,
                                   -273.15,
                                   std::numeric_limits<double>::denorm_min(),
                                   std::numeric_limits<double>::max(),
                                   9007199254740993.0};
  std::vector<Reading> written;
  for (std::size_t i = 0; i < values.size(); ++i) {
    const double raw = i % 2 == 0 ? values[i] : values[values.size() - 1 - i];
    written.push_back(
        {static_cast<std::uint16_t>(i % 2), static_cast<TimeUs>(1000 + i), values[i], raw});
  }
  {
    Store store = writer_at(folder.file("a.db"));
    take(store.add(written, {}));
  }
  const Store reader = take(Store::open(folder.file("a.db"), StoreMode::read));
  const auto read = all_readings(reader);
  REQUIRE(read.size() == written.size());
  for (std::size_t i = 0; i < read.size(); ++i) {
    INFO(i);
    CHECK(read[i].probe == written[i].probe);
    CHECK(read[i].time_us == written[i].time_us);
    CHECK(same_bits(read[i].temperature_degC, written[i].temperature_degC));
    CHECK(same_bits(read[i].raw, written[i].raw));
  }
}

TEST_CASE("minus zero is read back as zero") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.add(std::vector<Reading>{{0, 1, -0.0, 32.0}}, {}));
  const auto read = all_readings(store);
  REQUIRE(read.size() == 1);
  CHECK(same_bits(read[0].temperature_degC, 0.0));
  CHECK(read[0].raw == 32.0);
}

TEST_CASE("repeating a call changes nothing, and the count stays true") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  const auto first = numbered_readings(0, 10);
  const std::vector<StoredEvent> events{{1'790'000'000'000'050, "mark", R"({"who":"bench"})"}};
  take(store.add(first, events));
  take(store.add(first, events));
  CHECK(take(store.reading_count()) == 10);
  take(store.add(numbered_readings(5, 10), {}));  // half of them known
  CHECK(take(store.reading_count()) == 15);
  CHECK(all_readings(store).size() == 15);
  CHECK(take(store.events(0, 4'000'000'000'000'000)).size() == 1);

  auto changed = first;
  changed[3].temperature_degC = 99.0;
  take(store.add(changed, {}));
  CHECK(all_readings(store)[3].temperature_degC == first[3].temperature_degC);
}

TEST_CASE("readings are ordered by time, then probe, and cut at both ends") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.add(std::vector<Reading>{{1, 30, 3.0, 3.0},
                                      {0, 30, 2.0, 2.0},
                                      {0, 10, 0.0, 0.0},
                                      {1, 20, 1.0, 1.0},
                                      {0, 40, 4.0, 4.0}},
                 {}));
  const auto all = all_readings(store);
  REQUIRE(all.size() == 5);
  for (std::size_t i = 0; i < all.size(); ++i) CHECK(all[i].temperature_degC == double(i));
  const auto part = take(store.readings(20, 30));
  REQUIRE(part.size() == 3);
  CHECK(part.front().time_us == 20);
  CHECK(part.back().time_us == 30);
  CHECK(take(store.readings(31, 39)).empty());
}

TEST_CASE("the last reading, and a store without any") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  CHECK_FALSE(take(store.last_reading_us()).has_value());
  CHECK(take(store.reading_count()) == 0);
  CHECK_FALSE(take(store.last_session()).has_value());
  take(store.add(std::vector<Reading>{{0, 70, 1.0, 1.0}, {1, 30, 1.0, 1.0}}, {}));
  CHECK(take(store.last_reading_us()) == TimeUs{70});
}

TEST_CASE("what is no reading is refused, and nothing of the call is stored") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const double infinity = std::numeric_limits<double>::infinity();
  for (const Reading& bad : std::vector<Reading>{
           {0, 2, nan, 1.0}, {0, 2, 1.0, nan}, {0, 2, infinity, 1.0}, {2, 2, 1.0, 1.0}}) {
    const auto outcome = store.add(std::vector<Reading>{{0, 1, 20.0, 20.0}, bad}, {});
    REQUIRE_FALSE(outcome.ok());
    CHECK(outcome.error().kind == Fault::bad_data);
    CHECK_THAT(outcome.error().text, ContainsSubstring("a.db"));
  }
  CHECK(take(store.reading_count()) == 0);
  CHECK(all_readings(store).empty());
}

TEST_CASE("the newest event of a kind is found among others") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  CHECK_FALSE(take(store.last_event("mark")).has_value());
  const std::vector<StoredEvent> events{
      {20, "mark", "late"}, {10, "mark", "early"}, {30, "port", "newer"}};
  take(store.add({}, events));
  const auto last = take(store.last_event("mark"));
  REQUIRE(last.has_value());
  CHECK(last->time_us == 20);
  CHECK(last->detail == "late");
  CHECK_FALSE(take(store.last_event("mar")).has_value());
}

TEST_CASE("events come back in order of time") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.add({}, std::vector<StoredEvent>{{20, "finish", ""}, {10, "mark", R"({"s":1})"}}));
  const auto events = take(store.events(0, 20));
  REQUIRE(events.size() == 2);
  CHECK(events[0].kind == "mark");
  CHECK(events[0].detail == R"({"s":1})");
  CHECK(events[1].time_us == 20);
  CHECK(events[1].detail.empty());
  CHECK(take(store.events(11, 19)).empty());
}

TEST_CASE("sessions: the last one counts") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  take(store.add_session({"boot-a", 1, 2, 3, 1.0, std::nullopt}));
  CHECK_FALSE(take(store.last_session())->clock_synchronised.has_value());
  take(store.add_session({"boot-b", 11, 12, 13, 60.0, false}));
  const auto last = take(store.last_session());
  REQUIRE(last.has_value());
  CHECK(last->boot_id == "boot-b");
  CHECK(last->machine_us == 11);
  CHECK(last->axis_us == 12);
  CHECK(last->wall_us == 13);
  CHECK(last->speed == 60.0);
  CHECK(last->clock_synchronised == false);
}

TEST_CASE("probes keep their rows, and changed settings get a new one") {
  const TemporaryFolder folder;
  auto probes = two_probes();
  Store store = take(Store::open(folder.file("a.db"), StoreMode::write));
  const auto rows = take(store.register_probes(probes));
  CHECK(take(store.register_probes(probes)) == rows);
  take(store.add(std::vector<Reading>{{0, 1, 20.0, 20.0}, {1, 1, 25.0, 77.0}}, {}));

  std::swap(probes[0], probes[1]);
  probes[1].settings_json = R"({"tolerance_K":0.1})";
  const auto changed = take(store.register_probes(probes));
  CHECK(changed[0] == rows[1]);
  CHECK(changed[1] != rows[0]);
  CHECK(take(store.probes()).size() == 3);
  CHECK(take(store.probes())[0].settings_json == R"({"tolerance_K":0.2})");

  const auto read = all_readings(store);  // by the new order of the bench
  REQUIRE(read.size() == 2);
  CHECK(read[0].probe == 0);
  CHECK(read[0].raw == 77.0);
  CHECK(read[1].probe == 1);
  CHECK(read[1].temperature_degC == 20.0);
}

TEST_CASE("a curve for a screen has all readings, or the first of each slice and probe") {
  const TemporaryFolder folder;
  Store store = writer_at(folder.file("a.db"));
  std::vector<Reading> written = numbered_readings(0, 1000);
  const TimeUs from_us = written.front().time_us, to_us = written.back().time_us;
  for (int i = 0; i < 1000; i += 100) {
    Reading room = written[static_cast<std::size_t>(i)];
    room.probe = 1;
    written.push_back(room);
  }
  take(store.add(written, {}));

  const SampledReadings all = take(store.sampled_readings(from_us, to_us, 1010));
  CHECK(all.all);
  CHECK(all.readings.size() == 1010);

  const SampledReadings some = take(store.sampled_readings(from_us, to_us, 40));
  CHECK_FALSE(some.all);
  CHECK(some.readings.size() >= 20);  // one of the cup in each slice
  CHECK(some.readings.size() <= 44);
  CHECK(some.readings.front().time_us == from_us);
  const auto in_order = [](const Reading& a, const Reading& b) {
    return a.time_us != b.time_us ? a.time_us < b.time_us : a.probe < b.probe;
  };
  CHECK(std::is_sorted(some.readings.begin(), some.readings.end(), in_order));
  CHECK(std::any_of(some.readings.begin(), some.readings.end(),
                    [](const Reading& reading) { return reading.probe == 1; }));
  const SampledReadings none = take(store.sampled_readings(0, 10, 40));
  CHECK(none.all);
  CHECK(none.readings.empty());
}
