#include "drivers/line/arrivals.hpp"

#include <boost/asio/post.hpp>
#include <functional>
#include <memory>
#include <new>
#include <string>
#include <thread>
#include <vector>

#include "drivers/line/serial_line.hpp"
#include "tests/catch.hpp"
#include "tests/drivers/pty/port_bench.hpp"
#include "tests/drivers/pty/pty.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using namespace nestcup::drivers::testing;
using namespace std::chrono_literals;

namespace {

/// Puts down what it was given under its name: "a3@70" is 3 bytes of 70 us.
class Taker final : public ArrivalTaker {
 public:
  Taker(std::string name, std::vector<std::string>& told) : name_(std::move(name)), told_(told) {}
  void take_arrival(std::size_t size, TimeUs stamp_us) override {
    told_.push_back(name_ + std::to_string(size) + "@" + std::to_string(stamp_us));
    if (then) then();
  }
  std::function<void()> then{};

 private:
  std::string name_;
  std::vector<std::string>& told_;
};

struct Queue {
  boost::asio::io_context context;
  Arrivals& arrivals = Arrivals::of(context);
  std::vector<std::string> told;
  Taker a{"a", told};
  Taker b{"b", told};
  /// In turn from both, so close that all but the first wait.
  void fill(std::chrono::nanoseconds longest) {
    arrivals.put(a, 1, 10, longest);
    arrivals.put(b, 2, 20, longest);
    arrivals.put(a, 3, 30, longest);
    arrivals.put(b, 4, 40, longest);
  }
};

/// Two lines on one loop, on a clock so slow that what comes within a second waits for two, however
/// busy the machine is.
class TwoLines {
 public:
  TwoLines() {
    for (int i = 0; i < 2; ++i) {
      PortSettings settings = port_at(pty[i].path());
      settings.settle_s = 0.001;
      LineHandlers handlers;
      handlers.on_start = [] {};
      handlers.on_bytes = [this, i](std::span<const char> bytes, TimeUs stamp_us) {
        told.push_back(std::to_string(i) + ":" + std::string(bytes.data(), bytes.size()));
        stamps_us.push_back(stamp_us);
      };
      handlers.on_change = [this, i](const LineChange& change) {
        told.push_back(std::to_string(i) + " is " + std::string(state_name(change.state)));
      };
      line[i] = std::make_unique<SerialLine>(context_, clock, settings, std::move(handlers));
      line[i]->start();
    }
    run_until([this] {
      return line[0]->state().state == LineState::open && line[1]->state().state == LineState::open;
    });
    told.clear();
  }

  template <class Done>
  bool run_until(Done done, std::chrono::milliseconds limit = 10s) {
    const auto end = std::chrono::steady_clock::now() + limit;
    while (!done() && std::chrono::steady_clock::now() < end) {
      context_.restart();
      context_.run_for(1ms);
    }
    return done();
  }
  /// Both talk, the second close behind the first. @return whether both were read
  bool talk() {
    const auto sent = [this](int i, std::string_view bytes) {
      const auto before = line[i]->counts().bytes;
      return pty[i].write(bytes) && run_until([&] { return line[i]->counts().bytes > before; });
    };
    return sent(0, "1\n") && sent(1, "2\n");
  }

  FastClock clock{0.04};
  std::vector<std::string> told;
  std::vector<TimeUs> stamps_us;
  Pty pty[2];

 private:
  boost::asio::io_context context_;

 public:
  std::unique_ptr<SerialLine> line[2];
};

using Told = std::vector<std::string>;

}  // namespace

TEST_CASE("what comes alone is handed over at once") {
  Queue queue;
  queue.arrivals.put(queue.a, 3, 70, 40ms);
  CHECK(queue.told == Told{"a3@70"});
}

TEST_CASE("what comes close behind others waits for more, and keeps its place and its stamp") {
  Queue queue;
  queue.fill(1s);
  CHECK(queue.told == Told{"a1@10"});
  queue.context.run_for(10s);  // ends with the timer
  CHECK(queue.told == Told{"a1@10", "b2@20", "a3@30", "b4@40"});
}

TEST_CASE("where much is handed over, others have their turn in between") {
  Queue queue;
  std::size_t seen = 0;
  queue.b.then = [&] {
    if (seen == 0) boost::asio::post(queue.context, [&] { seen = queue.told.size(); });
    std::this_thread::sleep_for(1ms);
  };
  queue.arrivals.put(queue.a, 1, 10, 1s);
  for (TimeUs i = 1; i <= 20; ++i) queue.arrivals.put(queue.b, 2, 10 * i, 1s);
  queue.context.run_for(10s);
  CHECK(queue.told.size() == 21);
  CHECK(seen > 1);
  CHECK(seen < 21);
}

TEST_CASE("what may not wait takes along what came before it") {
  Queue queue;
  queue.arrivals.put(queue.a, 1, 10, 10s);
  queue.arrivals.put(queue.b, 2, 20, 10s);
  queue.arrivals.put(queue.a, 3, 30, 0ms);
  CHECK(queue.told == Told{"a1@10", "b2@20", "a3@30"});
  // Its timer is not there any more.
  CHECK(queue.context.run_for(1s) <= 1);
}

TEST_CASE("nothing is handed over to a taker that has gone, nor to one that is busy") {
  Queue queue;
  queue.fill(10s);
  bool busy = false;
  queue.b.then = [&] {
    CHECK_FALSE(busy);
    busy = true;
    queue.arrivals.hand_over();
    queue.arrivals.forget(queue.a);
    busy = false;
  };
  queue.arrivals.hand_over();
  CHECK(queue.told == Told{"a1@10", "b2@20", "b4@40"});
}

TEST_CASE("a taker that throws costs the others nothing") {
  Queue queue;
  queue.arrivals.put(queue.a, 1, 10, 50ms);
  queue.arrivals.put(queue.a, 2, 20, 50ms);
  queue.arrivals.put(queue.b, 3, 30, 50ms);
  queue.a.then = [] { throw std::bad_alloc(); };
  CHECK_THROWS_AS(queue.arrivals.hand_over(), std::bad_alloc);
  queue.arrivals.put(queue.b, 4, 40, 50ms);
  queue.context.restart();
  queue.context.run_for(10s);
  CHECK(queue.told == Told{"a1@10", "a2@20", "b3@30", "b4@40"});
}

TEST_CASE("bytes of several ports are told together, stamped when they were read") {
  TwoLines bench;
  REQUIRE(bench.talk());
  const TimeUs read_us = bench.clock.now_us();
  CHECK(bench.told == Told{"0:1\n"});
  REQUIRE(bench.run_until([&] { return bench.told.size() == 2; }));
  CHECK(bench.told == Told{"0:1\n", "1:2\n"});
  CHECK(bench.stamps_us[1] <= read_us);
  // The buffer is free again: more than it holds comes through.
  const std::string much(3000, 'x');
  for (int i = 0; i < 4; ++i) {
    REQUIRE(bench.pty[1].write(much));
    REQUIRE(bench.run_until([&] { return bench.line[1]->counts().bytes == 2 + 3000u * (i + 1); }));
  }
  REQUIRE(bench.run_until([&] {
    std::size_t size = 0;
    for (const std::string& words : bench.told) size += words.size() - 2;
    return size == 4 + 4 * much.size();
  }));
}

TEST_CASE("what was read before a port is closed or lost is told before its change") {
  TwoLines bench;
  REQUIRE(bench.talk());
  SECTION("stopped") {
    bench.line[1]->stop();
    CHECK(bench.told == Told{"0:1\n", "1:2\n", "1 is closed"});
  }
  SECTION("unplugged") {
    bench.pty[1].unplug();
    REQUIRE(bench.run_until([&] { return bench.told.size() >= 3; }));
    CHECK(bench.told == Told{"0:1\n", "1:2\n", "1 is waiting"});
  }
  SECTION("gone") {
    bench.line[1].reset();
    bench.run_until([] { return false; }, 2500ms);
    CHECK(bench.told == Told{"0:1\n"});
  }
}
