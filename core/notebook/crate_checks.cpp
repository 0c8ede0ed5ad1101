#include "core/notebook/crate_checks.hpp"

#include <fmt/format.h>

#include <cmath>
#include <set>

#include "core/base/time_text.hpp"
#include "core/base/utf8.hpp"

namespace nestcup {
namespace {

constexpr std::string_view orcid_site = "https://orcid.org/";

Error crate_fault(const std::string& where, std::string_view what) {
  return {Fault::bad_data, fmt::format("{}: {}", where, what)};
}

Result<void> check_words(const std::string& where, const std::string& key,
                         const std::string& words) {
  if (words.empty()) return crate_fault(where, fmt::format("its {} is missing", key));
  if (!is_utf8(words)) return crate_fault(where, fmt::format("its {} is not UTF-8", key));
  return {};
}

/// A day or an RFC 3339 stamp.
Result<void> check_date(const std::string& where, const std::string& key, const std::string& date) {
  const std::string whole = date.size() == 10 ? date + "T00:00:00.000Z" : date;
  if (parse_rfc3339(whole)) return {};
  return crate_fault(where, fmt::format("its {} is \"{}\", but a day (2026-11-25) or a time of "
                                        "RFC 3339 is expected",
                                        key, date));
}

Result<void> check_measured(const std::string& where, const std::vector<CrateMeasured>& measured) {
  std::set<std::string> ids;
  for (const CrateMeasured& number : measured) {
    if (auto good = check_words(where, "property's id", number.property_id); !good) return good;
    const std::string at = where + ": " + number.property_id;
    if (auto good = check_words(at, "name", number.name); !good) return good;
    if (!ids.insert(number.property_id).second) return crate_fault(at, "is there twice");
    if (number.u && !ids.insert(number.property_id + ".u").second) {
      return crate_fault(at, "another property has the id of its uncertainty");
    }
    if (!std::isfinite(number.value)) return crate_fault(at, "is no finite number; leave it out");
    if (number.u && !(std::isfinite(*number.u) && *number.u >= 0.0)) {
      return crate_fault(at, "its uncertainty is no number from 0 up");
    }
  }
  return {};
}

Result<void> check_run(const CrateRun& run) {
  if (auto good = check_bundle_path(run.folder); !good) return good;
  if (auto good = check_words(run.folder, "name", run.name); !good) return good;
  for (const auto& [key, date] : {std::pair{"date of creation", &run.date_created},
                                  std::pair{"date of change", &run.date_modified}}) {
    if (date->empty()) continue;
    if (auto good = check_date(run.folder, key, *date); !good) return good;
  }
  return check_measured(run.folder, run.measured);
}

/// All paths of the crate, and that no run's folder lies within another's.
Result<void> check_paths(const CrateFacts& facts) {
  std::vector<BundleFile> paths = {{crate_metadata_name, {}, {}, {}}};
  for (const BundleFile& file : facts.files) paths.push_back({file.path, {}, {}, {}});
  std::set<std::string> folders;
  for (const CrateRun& run : facts.runs) {
    if (run.folder.find('/') != std::string::npos) {
      return crate_fault(run.folder, "a run's folder lies at the top of the crate, without \"/\"");
    }
    if (!folders.insert(run.folder).second) {
      return crate_fault(run.folder, "two runs share this folder");
    }
    for (const BundleFile& file : run.files) {
      paths.push_back({run.folder + "/" + file.path, {}, {}, {}});
    }
  }
  for (const BundleFile& file : facts.files) {
    if (folders.count(file.path.substr(0, file.path.find('/'))) == 0) continue;
    return crate_fault(file.path, "lies in the place of a run's folder");
  }
  return check_bundle(paths);
}

}  // namespace

Result<void> check_people(const std::vector<CratePerson>& people) {
  std::set<std::string> orcids;
  for (const CratePerson& person : people) {
    if (auto good = check_words("a person of the crate", "name", person.name); !good) return good;
    if (person.orcid.empty()) continue;
    const std::string address = orcid_address(person.orcid);
    if (address.empty()) {
      return crate_fault(person.name, fmt::format("\"{}\" is no ORCID; compare it with the "
                                                  "person's own, digit by digit",
                                                  person.orcid));
    }
    if (!orcids.insert(address).second) {
      return crate_fault(person.name, fmt::format("the ORCID {} is there twice", person.orcid));
    }
  }
  return {};
}

std::string orcid_address(std::string_view text) {
  if (text.substr(0, orcid_site.size()) == orcid_site) text.remove_prefix(orcid_site.size());
  if (text.size() != 19) return {};
  int total = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (i % 5 == 4) {
      if (c != '-') return {};
      continue;
    }
    const bool last = i + 1 == text.size();
    if (!(c >= '0' && c <= '9') && !(last && c == 'X')) return {};
    if (!last) total = (total + (c - '0')) * 2;
  }
  const int check = (12 - total % 11) % 11;
  const char expected = check == 10 ? 'X' : static_cast<char>('0' + check);
  return text.back() == expected ? std::string(orcid_site) + std::string(text) : std::string();
}

std::string path_reference(std::string_view path) {
  std::string out;
  for (const char c : path) {
    const bool reserved = std::string_view(" %\"<>\\^`{|}#?[]:").find(c) != std::string_view::npos;
    out += reserved ? fmt::format("%{:02X}", static_cast<unsigned char>(c)) : std::string(1, c);
  }
  return out;
}

Result<void> check_crate(const CrateFacts& facts) {
  const std::string where = "the crate";
  if (auto good = check_words(where, "name", facts.name); !good) return good;
  if (auto good = check_words(where, "description", facts.description); !good) return good;
  if (auto good = check_words(where, "licence", facts.licence.text); !good) return good;
  if (auto good = check_words(where, "publisher", facts.publisher.name); !good) return good;
  if (auto good = check_date(where, "date of publication", facts.date_published); !good) {
    return good;
  }
  if (auto good = check_people(facts.people); !good) return good;
  for (const CrateRun& run : facts.runs) {
    if (auto good = check_run(run); !good) return good;
  }
  return check_paths(facts);
}

}  // namespace nestcup
