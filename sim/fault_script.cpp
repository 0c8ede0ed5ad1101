#include "sim/fault_script.hpp"

#include <algorithm>
#include <utility>

#include "sim/fault_kinds.hpp"
#include "sim/spoilt_frame.hpp"

namespace nestcup::sim {

namespace {

/// The stream of random numbers behind those of the probes.
constexpr std::uint64_t fault_stream = 1000;
/// Half a frame has to get through before the line hangs up.
constexpr double shortest_hang_up_s = 0.05;
/// With start and stop bit.
constexpr double bits_per_byte = 10.0;
/// A board is asked few questions; more are not remembered for a freeze.
constexpr std::size_t most_questions = 1000;

/// The end of an outage (s) that begins then.
double outage_end_s(double from_s, double for_s) {
  return for_s > 0.0 ? from_s + for_s : std::numeric_limits<double>::infinity();
}

}  // namespace

FaultScript::FaultScript(std::vector<LineFault> faults, Protocol protocol, std::uint64_t seed)
    : protocol_(protocol), random_(seed, fault_stream) {
  for (const LineFault& fault : faults) {
    const FaultExtent extent = fault_kind(fault.kind).extent;
    if (extent == FaultExtent::cable) {
      outages_.push_back({fault.at_s, outage_end_s(fault.at_s, fault.for_s)});
    } else {
      pending_.push_back({fault, extent == FaultExtent::frames ? fault.count : 1});
    }
  }
}

void FaultScript::hang_up(const LineFault& fault, double now_s, Passage& passage) {
  passage.sent.resize((passage.sent.size() + 1) / 2);
  const double from_s = now_s + std::max(fault.delay_s, shortest_hang_up_s);
  outages_.push_back({from_s, outage_end_s(from_s, fault.for_s)});
}

void FaultScript::apply(const LineFault& fault, double now_s, Passage& passage) {
  switch (fault.kind) {
    case LineFaultKind::late:
      passage.late = true;
      [[fallthrough]];
    case LineFaultKind::delay:
      passage.delay_s = fault.delay_s;
      return;
    case LineFaultKind::stall:
    case LineFaultKind::asleep:
      passage.copies = 0;
      return;
    case LineFaultKind::flood:
      passage.copies = fault.count;
      passage.rate_Bd = fault.rate_Bd;
      return;
    case LineFaultKind::garbage:
      passage.before += random_bytes(fault.count, random_);
      return;
    case LineFaultKind::endless:
      passage.before += endless_line(fault.count, random_);
      return;
    case LineFaultKind::foreign:
      passage.before += foreign_talk(fault.count, protocol_, random_);
      return;
    case LineFaultKind::hang_up:
      hang_up(fault, now_s, passage);
      return;
    default:
      passage.sent = spoilt(fault, passage.sent);
  }
}

std::string FaultScript::spoilt(const LineFault& fault, const std::string& frame) {
  switch (fault.kind) {
    case LineFaultKind::cut:
      return cut_off(frame, random_);
    case LineFaultKind::corrupt:
      return corrupted(frame, random_);
    case LineFaultKind::doubled:
      return with_doubled_bytes(frame, random_);
    case LineFaultKind::nul:
      return with_nul_bytes(frame, random_);
    case LineFaultKind::wrong_baud:
      return heard_at(frame, fault.baud_ratio);
    case LineFaultKind::checksum:
      return with_wrong_crc(frame, random_);
    case LineFaultKind::address:
      return from_other_address(frame, random_);
    case LineFaultKind::function:
      return of_other_function(frame);
    case LineFaultKind::exception:
      return as_exception(frame, fault.code);
    default:
      return frame;
  }
}

bool FaultScript::is_at_work(const Pending& pending, double now_s) {
  const LineFault& fault = pending.fault;
  if (now_s < fault.at_s || pending.left <= 0) return false;
  const bool is_window = fault_kind(fault.kind).extent == FaultExtent::window;
  return !is_window || now_s < fault.at_s + fault.for_s;
}

std::string FaultScript::frozen_or(const std::string& frame, double now_s,
                                   const std::string& question) {
  const bool freezes = std::any_of(pending_.begin(), pending_.end(), [now_s](const Pending& each) {
    return each.fault.kind == LineFaultKind::freeze && is_at_work(each, now_s);
  });
  if (last_frames_.size() > most_questions) last_frames_.clear();
  std::string& last = last_frames_[question];
  if (!freezes || last.empty()) last = frame;
  return last;
}

std::vector<Delivery> FaultScript::pass(const std::string& frame, double now_s,
                                        const std::string& question) {
  Passage passage;
  // What is frozen is the board; the line's other faults come on top of it.
  passage.sent = frozen_or(frame, now_s, question);
  for (Pending& pending : pending_) {
    if (!is_at_work(pending, now_s)) continue;
    apply(pending.fault, now_s, passage);
    if (fault_kind(pending.fault.kind).extent != FaultExtent::window) --pending.left;
  }
  double due_s = now_s + passage.delay_s;
  if (!passage.late) due_s = std::max(last_due_s_, due_s);
  std::vector<Delivery> deliveries;
  if (!passage.before.empty()) deliveries.push_back({due_s, passage.before});
  const double bits = bits_per_byte * static_cast<double>(passage.sent.size());
  const double each_s = passage.rate_Bd > 0.0 ? bits / passage.rate_Bd : 0.0;
  for (int i = 0; i < passage.copies; ++i) {
    deliveries.push_back({due_s + static_cast<double>(i) * each_s, passage.sent});
  }
  if (!passage.late) last_due_s_ = deliveries.empty() ? due_s : deliveries.back().due_s;
  return deliveries;
}

bool FaultScript::plugged_in(double now_s) const {
  return std::none_of(outages_.begin(), outages_.end(), [now_s](const Outage& outage) {
    return now_s >= outage.from_s && now_s < outage.to_s;
  });
}

double FaultScript::next_change_s(double now_s) const {
  double next = std::numeric_limits<double>::infinity();
  for (const Outage& outage : outages_) {
    for (const double edge_s : {outage.from_s, outage.to_s}) {
      if (edge_s > now_s) next = std::min(next, edge_s);
    }
  }
  return next;
}

}  // namespace nestcup::sim
