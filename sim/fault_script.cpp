#include "sim/fault_script.hpp"

#include <algorithm>
#include <limits>
#include <utility>

namespace nestcup::sim {

namespace {

/// The stream of random numbers behind those of the probes.
constexpr std::uint64_t fault_stream = 1000;

bool is_window(LineFaultKind kind) {
  return kind == LineFaultKind::delay || kind == LineFaultKind::stall ||
         kind == LineFaultKind::freeze;
}

/// The end of an unplug (s).
double plug_in_s(const LineFault& fault) {
  return fault.for_s > 0.0 ? fault.at_s + fault.for_s : std::numeric_limits<double>::infinity();
}

}  // namespace

FaultScript::FaultScript(std::vector<LineFault> faults, std::uint64_t seed)
    : random_(seed, fault_stream) {
  for (LineFault& fault : faults) {
    const bool by_line = fault.kind == LineFaultKind::cut || fault.kind == LineFaultKind::corrupt;
    pending_.push_back({fault, by_line ? fault.count : 1});
  }
}

std::string FaultScript::garbage(int count) {
  std::string bytes;
  for (int i = 0; i < count; ++i) bytes += static_cast<char>(random_.below(256));
  return bytes;
}

void FaultScript::cut(std::string& line) {
  if (line.size() > 3) line.resize(1 + random_.below(line.size() - 3));
}

void FaultScript::corrupt(std::string& line) {
  for (std::size_t done = 0; done < 1 + line.size() / 4; ++done) {
    // Adding 1 to 255 never leaves the byte as it was.
    char& byte = line[random_.below(line.size())];
    byte = static_cast<char>(static_cast<unsigned char>(byte) + 1U + random_.below(255));
  }
}

std::vector<Delivery> FaultScript::pass(const std::string& line, double now_s) {
  std::string sent = line;
  std::string before;
  double due_s = now_s;
  int copies = 1;
  bool frozen = false;
  for (auto& [fault, left] : pending_) {
    if (now_s < fault.at_s || left <= 0) continue;
    if (is_window(fault.kind) && now_s >= fault.at_s + fault.for_s) continue;
    switch (fault.kind) {
      case LineFaultKind::delay:
        due_s = now_s + fault.delay_s;
        break;
      case LineFaultKind::stall:
        copies = 0;
        break;
      case LineFaultKind::freeze:
        frozen = !last_line_.empty();
        break;
      case LineFaultKind::cut:
        cut(sent);
        break;
      case LineFaultKind::corrupt:
        corrupt(sent);
        break;
      case LineFaultKind::garbage:
        before = garbage(fault.count);
        break;
      case LineFaultKind::flood:
        copies = fault.count;
        break;
      case LineFaultKind::unplug:
        break;
    }
    if (!is_window(fault.kind)) --left;
  }
  if (frozen) sent = last_line_;
  if (!frozen) last_line_ = line;
  last_due_s_ = std::max(last_due_s_, due_s);
  std::vector<Delivery> deliveries;
  if (!before.empty()) deliveries.push_back({last_due_s_, before});
  for (int i = 0; i < copies; ++i) deliveries.push_back({last_due_s_, sent});
  return deliveries;
}

bool FaultScript::plugged_in(double now_s) const {
  return std::none_of(pending_.begin(), pending_.end(), [now_s](const Pending& pending) {
    const LineFault& fault = pending.fault;
    return fault.kind == LineFaultKind::unplug && now_s >= fault.at_s && now_s < plug_in_s(fault);
  });
}

double FaultScript::next_change_s(double now_s) const {
  double next = std::numeric_limits<double>::infinity();
  for (const auto& [fault, left] : pending_) {
    if (fault.kind != LineFaultKind::unplug) continue;
    for (const double edge_s : {fault.at_s, plug_in_s(fault)}) {
      if (edge_s > now_s) next = std::min(next, edge_s);
    }
  }
  return next;
}

}  // namespace nestcup::sim
