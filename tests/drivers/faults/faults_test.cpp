// Every fault of the simulator's line under every protocol: nothing is read that was not sent, and
// what comes after the fault is read again.
#include <algorithm>
#include <cmath>
#include <map>

#include "core/sheet/bench_file.hpp"
#include "drivers/port_decoder.hpp"
#include "sim/fault_kinds.hpp"
#include "sim/fault_script.hpp"
#include "sim/firmware.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

using drivers::PortDecoder;
using Kind = sim::LineFaultKind;

constexpr int ticks = 120;
constexpr double tick_s = 0.5;
constexpr double fault_at_s = 10.2;

/// A board and the bench file's entries for it.
struct Setup {
  sim::Scenario scenario;
  PortSettings port;
  std::vector<ProbeSettings> probes;
};

Setup setup_of(sim::Protocol protocol, const std::string& name) {
  Setup setup;
  setup.scenario.board.protocol = protocol;
  setup.scenario.board.keyed = true;
  setup.port.protocol = name;
  int number = 0;
  for (const char* probe_name : {"cup", "added"}) {
    sim::ProbeSettings device;
    device.name = probe_name;
    device.step_K = 0.01;
    device.registers.first = 2 * number;
    setup.scenario.probes.push_back(device);
    ProbeSettings probe;
    probe.name = probe.channel.name = probe_name;
    if (name == "text" || name == "senml") probe.channel.key = probe_name;
    if (name == "modbus-rtu") {
      probe.channel.registers = RegisterPlace{1, 4, 2 * number, RegisterFormat::float32};
    }
    if (name == "scpi") probe.channel.query = "READ?";
    if (name == "scpi") probe.channel.column = number + 1;
    setup.probes.push_back(probe);
    ++number;
  }
  return setup;
}

/// A line with one fault, from the board to the driver.
class Line {
 public:
  Line(const Setup& setup, const sim::LineFault& fault, std::uint64_t seed)
      : firmware_(sim::make_firmware(setup.scenario)),
        faults_({fault}, setup.scenario.board.protocol, seed) {
    auto made = PortDecoder::make(setup.port, setup.probes,
                                  [this](std::size_t probe, TimeUs, double degC, double) {
                                    read.push_back({probe, std::round(degC * 100.0) / 100.0});
                                    last[probe] = read.back().second;
                                    wrong += sent.count(read.back()) == 0 ||
                                             std::abs(degC - read.back().second) > 1e-4;
                                  },
                                  {});
    REQUIRE(made);
    decoder_ = std::move(made).value();
    decoder_->reset();
    answer_s_ = setup.port.answer_s;
  }

  void run() {
    for (int tick = 0; tick < ticks; ++tick) {
      tick_ = tick;
      now_s_ = tick * tick_s;
      const bool plugged_in = faults_.plugged_in(now_s_);
      if (plugged_in && !was_plugged_in_) decoder_->reset();
      was_plugged_in_ = plugged_in;
      deliver_until(now_s_);
      if (!plugged_in) continue;
      if (decoder_->is_polled()) {
        ask();
      } else {
        say(firmware_->report(measure()), {});
      }
      deliver_until(now_s_);
    }
  }

  std::map<std::pair<std::size_t, double>, double> sent;  // and when
  std::vector<std::pair<std::size_t, double>> read;
  std::map<std::size_t, double> last;
  int wrong = 0;

 private:
  // Different at every tick and for every channel, so that a mix-up shows.
  sim::Report measure() {
    sim::Report report;
    for (std::size_t probe = 0; probe < 2; ++probe) {
      const double degC =
          std::round((20.0 + 17.31 * static_cast<double>(probe) + 0.13 * tick_) * 100.0) / 100.0;
      sent[{probe, degC}] = now_s_;
      report.channels.push_back({degC});
    }
    report.at_s = now_s_;
    return report;
  }

  void say(const std::string& bytes, const std::string& question) {
    for (sim::Delivery& delivery : faults_.pass(bytes, now_s_, question)) {
      on_the_way_.insert({delivery.due_s, std::move(delivery.bytes)});
    }
  }

  // One round, as ProbePort leads it: the next question when the last one has its answer.
  void ask() {
    if (!decoder_->is_answered()) {
      if (now_s_ < asked_s_ + answer_s_) return;
      decoder_->give_up(to_us(asked_s_ + answer_s_));
    }
    for (;;) {
      const std::string question = decoder_->next_request(to_us(now_s_));
      if (question.empty()) return;
      asked_s_ = now_s_;
      for (const sim::Answer& answer : firmware_->hear(question, [this] { return measure(); })) {
        say(answer.bytes, answer.question);
      }
      deliver_until(now_s_);
      if (!decoder_->is_answered()) return;
    }
  }

  void deliver_until(double time_s) {
    while (!on_the_way_.empty() && on_the_way_.begin()->first <= time_s) {
      const auto next = on_the_way_.extract(on_the_way_.begin());
      const TimeUs stamp_us = to_us(std::max(next.key(), 0.0));
      if (!was_plugged_in_) continue;
      if (decoder_->is_polled() && decoder_->is_answered()) {
        decoder_->feed_late(next.mapped(), stamp_us);
      } else {
        decoder_->feed(next.mapped(), stamp_us);
      }
    }
  }

  std::unique_ptr<sim::Firmware> firmware_;
  sim::FaultScript faults_;
  std::unique_ptr<PortDecoder> decoder_;
  std::multimap<double, std::string> on_the_way_;
  double answer_s_ = 0.0;
  double asked_s_ = 0.0;
  double now_s_ = 0.0;
  int tick_ = 0;
  bool was_plugged_in_ = true;
};

sim::LineFault fault_of(Kind kind) {
  sim::LineFault fault;
  fault.at_s = fault_at_s;
  fault.kind = kind;
  fault.for_s = 6.0;
  fault.delay_s = kind == Kind::hang_up ? 0.2 : 3.0;
  fault.count = 3;
  if (kind == Kind::garbage || kind == Kind::endless) fault.count = 5000;
  if (kind == Kind::flood) fault.count = 300;
  return fault;
}

/// Numbers in plain text carry no checksum: a digit that was changed, doubled or lost on the way
/// cannot be told from one that was sent. No other fault may give a reading that was not sent.
bool can_change_a_digit(Kind kind, const std::string& protocol) {
  constexpr Kind kinds[] = {Kind::cut, Kind::corrupt, Kind::doubled, Kind::wrong_baud};
  return protocol != "modbus-rtu" &&
         std::find(std::begin(kinds), std::end(kinds), kind) != std::end(kinds);
}

}  // namespace

TEST_CASE("under every fault nothing is read that was not sent, and the good frames after it are") {
  const std::vector<std::pair<sim::Protocol, std::string>> protocols{
      {sim::Protocol::text, "text"},
      {sim::Protocol::senml, "senml"},
      {sim::Protocol::modbus_rtu, "modbus-rtu"},
      {sim::Protocol::scpi, "scpi"}};
  for (const auto& [protocol, name] : protocols) {
    const Setup setup = setup_of(protocol, name);
    for (const sim::FaultKind& kind : sim::fault_kinds()) {
      if (!sim::fault_fits(kind.kind, protocol)) continue;
      for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        INFO(name << ", " << kind.name << ", seed " << seed);
        const sim::LineFault fault = fault_of(kind.kind);
        Line line(setup, fault, seed);
        line.run();
        const int allowed = can_change_a_digit(kind.kind, name) ? 2 * 13 : 0;
        CHECK(line.wrong <= allowed);
        CHECK(line.read.size() >= 50);
        for (std::size_t probe = 0; probe < 2; ++probe) {
          // The last frames are 40 s behind the fault.
          const double newest = 20.0 + 17.31 * static_cast<double>(probe) + 0.13 * (ticks - 1);
          REQUIRE(line.last.count(probe) == 1);
          CHECK(std::abs(line.last[probe] - newest) < 0.3);
        }
      }
    }
  }
}
