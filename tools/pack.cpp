// nestcup pack: runs as a research-object crate, to be given away.
#include "core/notebook/pack.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/notebook/crate_checks.hpp"
#include "core/notebook/pack_place.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/progress.hpp"

namespace nestcup {
namespace {

/// "Josiah Carberry=0000-0002-1825-0097", or a name alone.
Result<CratePerson> person_of(const std::string& text) {
  const std::size_t sign = text.rfind('=');
  CratePerson person{text.substr(0, sign), ""};
  if (sign != std::string::npos) person.orcid = text.substr(sign + 1);
  if (person.name.empty()) {
    return Error{Fault::usage, fmt::format("option --author: \"{}\": the name is missing", text)};
  }
  if (sign != std::string::npos && orcid_address(person.orcid).empty()) {
    return Error{Fault::usage,
                 fmt::format("option --author: \"{}\" is no ORCID (four groups of four digits, the "
                             "last one a check digit); compare it with the person's own",
                             person.orcid)};
  }
  return person;
}

Result<CrateLicence> licence_of(const std::string& text) {
  CrateLicence licence;
  if (text.empty())
    return Error{Fault::usage, "option --licence: a text or an address is expected"};
  licence.text = text;
  if (!text.starts_with("https://") && !text.starts_with("http://")) return licence;
  if (text.find_first_of(" <>\"{}|\\^`\t\n") != std::string::npos) {
    return Error{Fault::usage,
                 fmt::format("option --licence: \"{}\" is no address; give the address alone, or "
                             "words that do not begin with one",
                             text)};
  }
  licence.url = text;
  return licence;
}

Result<PackOptions> choices_of(const cli::Parsed& parsed) {
  PackOptions options;
  options.which = parsed.texts("RUN");
  options.name = parsed.text("name").value_or("");
  options.description = parsed.text("description").value_or("");
  for (const std::string& author : parsed.texts("author")) {
    auto person = person_of(author);
    if (!person) return person.error();
    options.people.push_back(std::move(*person));
  }
  if (const auto text = parsed.text("licence")) {
    auto licence = licence_of(*text);
    if (!licence) return licence.error();
    options.licence = std::move(*licence);
  }
  options.logins = !parsed.flag("without-logins");
  return options;
}

/// What was put where, or would be.
struct PackOutcome {
  PackPlace place;
  Pack pack;
  std::string sha256;  ///< of an archive
};

Result<PackOutcome> packed(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto options = choices_of(parsed);
  if (!options) return options.error();
  const auto place = pack_place(*parsed.text("out"));
  if (!place) return place.error();
  const auto if_there = parsed.flag("replace") ? IfThere::replace : IfThere::refuse;
  // Before the work that takes long.
  if (auto good = check_place(*place, if_there); !good) return good.error();
  const auto store = chosen_store(parsed);
  if (!store) return store.error();
  Progress progress(streams);
  auto pack = make_pack(*store, *options,
                        [&](std::size_t done, std::size_t total) { progress.at(done, total); });
  if (!pack) return pack.error();
  PackOutcome outcome{*place, std::move(*pack), ""};
  if (parsed.flag("dry-run")) return outcome;
  auto sha256 = put_pack(*place, outcome.pack.files, outcome.pack.newest_us, if_there);
  if (!sha256) return sha256.error();
  outcome.sha256 = std::move(*sha256);
  return outcome;
}

Json pack_json(const PackOutcome& outcome, bool dry_run) {
  Json runs = Json::array();
  for (const PackedRun& run : outcome.pack.runs) {
    runs.push_back({{"number", run.number},
                    {"id", run.id},
                    {"revision", run.revision},
                    {"status", run.status},
                    {"folder", run.folder},
                    {"files", run.files},
                    {"bytes", run.bytes}});
  }
  Json files = Json::array();
  for (const BundleFile& file : outcome.pack.files) {
    files.push_back(
        {{"path", file.path}, {"media_type", file.media_type}, {"bytes", file.bytes.size()}});
  }
  return {{"dry_run", dry_run},
          {"place", outcome.place.path},
          {"kind", kind_name(outcome.place.kind)},
          {"runs", std::move(runs)},
          {"files", std::move(files)},
          {"bytes", outcome.pack.bytes()},
          {"has_chain_end", outcome.pack.has_chain_end},
          {"sha256", outcome.sha256.empty() ? Json(nullptr) : Json(outcome.sha256)}};
}

std::string pack_text(const PackOutcome& outcome, bool dry_run) {
  std::string text;
  if (dry_run) {
    cli::Table table({{"bytes", cli::Align::right}, {"file"}});
    for (const BundleFile& file : outcome.pack.files) {
      table.add_row({std::to_string(file.bytes.size()), file.path});
    }
    text = table.text(false);
  }
  const std::size_t struck = static_cast<std::size_t>(
      std::count_if(outcome.pack.runs.begin(), outcome.pack.runs.end(),
                    [](const PackedRun& run) { return run.status == "struck"; }));
  text += fmt::format("{}: {} runs ({} struck out), {} files, {:.1f} MB{}\n", outcome.place.path,
                      outcome.pack.runs.size(), struck, outcome.pack.files.size(),
                      1e-6 * static_cast<double>(outcome.pack.bytes()),
                      dry_run ? "; nothing is written" : "");
  if (!outcome.pack.has_chain_end) {
    text += "without the end of the chain of records, since not all of its runs are in it\n";
  }
  if (!outcome.sha256.empty()) text += fmt::format("SHA-256 {}\n", outcome.sha256);
  return text;
}

int run_pack(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto outcome = packed(parsed, streams);
  if (!outcome) return cli::report_error(streams, outcome.error());
  const bool dry_run = parsed.flag("dry-run");
  if (parsed.flag("json")) {
    streams.out << pack_json(*outcome, dry_run).dump() << '\n';
  } else {
    streams.out << pack_text(*outcome, dry_run);
  }
  return 0;
}

std::vector<cli::OptionSpec> pack_options() {
  std::vector<cli::OptionSpec> options = store_options();
  options.push_back({.name = "out",
                     .value_name = "PLACE",
                     .help = "a name ending in .zip or .eln, or a folder's",
                     .complete = {cli::Hint::file},
                     .required = true});
  options.push_back({.name = "name", .value_name = "TEXT", .help = "the crate's title"});
  options.push_back({.name = "description", .value_name = "TEXT", .help = "what is in it"});
  options.push_back({.name = "author",
                     .value_name = "NAME",
                     .help = "who made the runs, or NAME=ORCID; nobody is named without it",
                     .repeatable = true});
  options.push_back(
      {.name = "licence",
       .value_name = "TEXT",
       .help = "what others may do, or its address; without it all rights are reserved"});
  options.push_back({.name = "without-logins",
                     .help = "leave out by which login runs were struck, restored or changed"});
  options.push_back(
      {.name = "replace", .help = "put it in the place of an unchanged crate of this program's"});
  options.push_back({.name = "dry-run", .help = "only list what would go in"});
  options.push_back(json_option());
  return options;
}

}  // namespace

cli::CommandSpec pack_command() {
  cli::CommandSpec command;
  command.name = "pack";
  command.summary = "pack runs into a crate that explains itself, to be given away";
  command.description = {
      "Puts runs (all, or those named; struck ones too, with their status) into an RO-Crate 1.1: a "
      "folder, a zip archive, or an .eln file, which electronic lab notebooks import. Each run is "
      "a folder with its record, its readings and what their columns are, charts, a page for "
      "people, the sheet, and digests by which all of it can be checked without the store. With "
      "all runs of a store the end of its chain of records goes in as well. The same store gives "
      "the same bytes each time.",
      "Names of benches, and what people wrote into sheets and reasons, go in as they are; "
      "--without-logins leaves login names out of the history. --replace never replaces what this "
      "program did not make, or what was changed or added since."};
  command.options = pack_options();
  command.arguments = {
      {"RUN", "numbers, ids, or ends of ids; without them all", 0, cli::any_number}};
  command.examples = {
      {"nestcup pack --out day.eln", "all runs of the bench"},
      {"nestcup pack 3 4 --out oxide.zip --author \"Josiah Carberry=0000-0002-1825-0097\" "
       "--licence https://creativecommons.org/licenses/by/4.0/",
       "two runs, with who made them and what others may do"},
      {"nestcup pack --store bench.db --out crate/ --dry-run", "what would go in?"}};
  command.exit_notes = {{65, "a record or the store is damaged, or of an older version"},
                        {66, "no such run or store, or no runs in it"},
                        {73, "the place is taken, or cannot be made"}};
  command.run = run_pack;
  return command;
}

}  // namespace nestcup
