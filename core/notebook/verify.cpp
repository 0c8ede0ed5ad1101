#include "core/notebook/verify.hpp"

#include <fmt/format.h>

#include <cmath>

#include "core/base/digest.hpp"
#include "core/record/export_facts.hpp"
#include "core/record/replay.hpp"
#include "core/record/seal.hpp"

namespace nestcup {
namespace {

std::string digest_words(const std::string& digest) {
  constexpr std::size_t shown = 12;
  return digest.empty() ? "nothing" : digest.substr(0, shown);
}

std::string digest_text(const std::string& what, const std::string& found,
                        const std::string& expected) {
  return fmt::format("{}: digest {}, expected {}", what, digest_words(found),
                     digest_words(expected));
}

/// The value of a quantity; nothing where it is not known.
std::optional<double> rise_of(const Json& record) {
  const Json& value = record.at("corrected_rise_K").at("value");
  return value.is_number() ? std::optional(value.get<double>()) : std::nullopt;
}

std::string rise_text(const std::optional<double>& rise_K) {
  return rise_K ? fmt::format("{} K", *rise_K) : "no usable rise";
}

bool agree(const std::optional<double>& a, const std::optional<double>& b) {
  if (!a || !b) return a.has_value() == b.has_value();
  return std::abs(*a - *b) <= rise_tolerance_K;
}

class Check {
 public:
  Check(const CheckedRun& run, RiseCheck rise) : run_(run), rise_(rise) {
    verdict_.where = run.where;
    verdict_.id = run.id;
    verdict_.number = run.number;
    verdict_.faults = run.faults;
    verdict_.notes = run.notes;
  }

  RunVerdict verdict() {
    int expected = 1;
    for (const CheckedRevision& revision : run_.revisions) {
      if (revision.revision != expected) {
        fault("revision-missing", fmt::format("{}: revision {} is not there; expected 1, 2, 3 ... "
                                              "without a gap",
                                              run_.where, expected));
      }
      expected = revision.revision + 1;
      verdict_.revision = revision.revision;
      check(revision);
    }
    if (run_.revisions.empty()) {
      fault("revision-missing", run_.where + ": has no record; expected revision 1 at least");
    }
    return std::move(verdict_);
  }

 private:
  void fault(std::string code, std::string text) {
    verdict_.faults.push_back({std::move(code), std::move(text)});
  }
  void note(std::string code, std::string text) {
    verdict_.notes.push_back({std::move(code), std::move(text)});
  }

  void check(const CheckedRevision& revision) {
    if (!revision.record_json) {
      return fault("record-missing", fmt::format("{}: is not there; expected the record of "
                                                 "revision {}",
                                                 revision.where, revision.revision));
    }
    check_link(revision);
    try {
      check_record(revision, Json::parse(*revision.record_json));
    } catch (const Json::exception&) {
      fault("record-unreadable", revision.where + ": is no run record any more");
    }
  }

  void check_link(const CheckedRevision& revision) {
    if (!revision.link) {
      return fault("link-missing", fmt::format("{}: revision {} is in no chain of records; it was "
                                               "put in beside the program, or its link was taken "
                                               "away",
                                               revision.where, revision.revision));
    }
    const ChainLink& link = *revision.link;
    const auto digest = record_sha256(*revision.record_json);
    if (!digest || *digest != link.record_sha256) {
      fault(
          "record-digest",
          digest_text(revision.where + ": the record", digest ? *digest : "", link.record_sha256) +
              fmt::format(" (link {}): it was changed since it was written", link.number));
    }
    if (!revision.previous_sha256) return;
    const std::string sha256 = link_sha256(run_.book, link, *revision.previous_sha256);
    if (sha256 != link.sha256) {
      fault("link-digest",
            digest_text(fmt::format("{}: link {}", run_.where, link.number), sha256, link.sha256) +
                ": it, or the one before it, was changed since it was made");
    }
  }

  void check_record(const CheckedRevision& revision, const Json& record) {
    if (record.at("id") != run_.id || record.at("revision") != revision.revision) {
      fault("record-other", fmt::format("{}: is the record of run {}, revision {}; expected run "
                                        "{}, revision {}",
                                        revision.where, record.at("id").dump(),
                                        record.at("revision").dump(), run_.id, revision.revision));
    }
    const auto sealed = record.find("content_sha256");
    if (sealed == record.end()) {
      note("no-content-digest", revision.where +
                                    ": is of an earlier version and states no digest "
                                    "of its content");
    } else if (*sealed != content_sha256(record)) {
      fault("content-digest", digest_text(revision.where + ": its content", content_sha256(record),
                                          sealed->get<std::string>()) +
                                  " (content_sha256): a part of it was changed");
    }
    check_readings(revision, record);
    if (&revision != &run_.revisions.back()) return;
    if (record.at("bench").is_string()) verdict_.bench = record["bench"].get<std::string>();
    verdict_.recorded_rise_K = rise_of(record);
    if (run_.readings && rise_ == RiseCheck::work_out) check_rise(revision, record);
  }

  void check_readings(const CheckedRevision& revision, const Json& record) {
    const std::string stated = record.at("readings").at("sha256");
    if (!run_.readings || readings_told_ == stated) return;
    const std::string digest = sha256_hex(*run_.readings);
    if (digest == stated) return;
    readings_told_ = stated;
    fault("readings-digest",
          digest_text(run_.readings_where + ": the readings", digest, stated) +
              fmt::format(" ({}, readings.sha256): one was changed, added or dropped; the record "
                          "counts {}",
                          revision.where, record.at("readings").at("count").dump()));
  }

  void check_rise(const CheckedRevision& revision, const Json& record) {
    // What the columns do not tell is taken from the record, whose digest was checked.
    const auto trace = parse_trace(export_comment(record) + *run_.readings, run_.readings_where);
    if (!trace) return fault("readings-unreadable", trace.error().text);
    const auto again = replay_trace(*trace, {}, [&] { return run_.id; });
    if (!again.empty()) verdict_.anew_rise_K = rise_of(again.front().made.record);
    const int analysis = record.at("software").at("analysis").get<int>();
    const std::string both =
        fmt::format("from the readings comes {}, the record says {}",
                    rise_text(verdict_.anew_rise_K), rise_text(verdict_.recorded_rise_K));
    if (analysis != analysis_version) {
      return note("other-analysis",
                  fmt::format("{}: was worked out by analysis {}, this program has {}: {}",
                              revision.where, analysis, analysis_version, both));
    }
    if (!agree(verdict_.anew_rise_K, verdict_.recorded_rise_K)) {
      fault("rise", fmt::format("{}: {}; expected the same within {} K", revision.where, both,
                                rise_tolerance_K));
    }
  }

  const CheckedRun& run_;
  RiseCheck rise_;
  RunVerdict verdict_;
  std::string readings_told_;
};

}  // namespace

RunVerdict verify_run(const CheckedRun& run, RiseCheck rise) {
  return Check(run, rise).verdict();
}

}  // namespace nestcup
