// nestcup token: who may come in at the bench's page, and whether to change anything.
#include <fmt/format.h>

#include <chrono>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "core/base/time_text.hpp"
#include "core/store/token_file.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/page_address.hpp"
#include "tools/place.hpp"

namespace nestcup {
namespace {

using Json = nlohmann::ordered_json;

std::string now_text() {
  return rfc3339(std::chrono::duration_cast<std::chrono::microseconds>(
                     std::chrono::system_clock::now().time_since_epoch())
                     .count());
}

Result<std::string> wanted_name(const cli::Parsed& parsed) {
  if (auto name = parsed.text("NAME")) return *name;
  return Error{Fault::usage, fmt::format("nestcup token {}: a NAME is needed: whose token it is",
                                         *parsed.text("ACTION"))};
}

/// Where the page is for who has this token.
std::vector<std::string> addresses_with(const std::string& token, const BenchFile& bench) {
  std::vector<std::string> pages = page_addresses(bench);
  for (std::string& page : pages) page += "/#token=" + token;
  return pages;
}

int add(const cli::Parsed& parsed, const BenchFile& bench, cli::Streams& streams) {
  const auto name = wanted_name(parsed);
  if (!name) return cli::report_error(streams, name.error());
  const std::string role = parsed.text("role").value_or("viewer");
  const auto token = add_token(token_file_path(bench.store), *name, role, now_text());
  if (!token) return cli::report_error(streams, token.error());
  const std::vector<std::string> pages = addresses_with(*token, bench);
  if (parsed.flag("json")) {
    streams.out << Json{{"name", *name},
                        {"role", role},
                        {"token", *token},
                        {"page", pages.empty() ? Json(nullptr) : Json(pages.front())}}
                       .dump()
                << '\n';
    return 0;
  }
  streams.out << *token << '\n';
  if (pages.empty()) {
    streams.err << bench.path << ": has no listen, so that there is no page to use it on\n";
  }
  for (const std::string& page : pages) {
    streams.err << "page, with the token in its address: " << page << '\n';
  }
  streams.err << "It is not shown again.\n";
  return 0;
}

int list(const cli::Parsed& parsed, const BenchFile& bench, cli::Streams& streams) {
  const auto tokens = read_tokens(token_file_path(bench.store));
  if (!tokens) return cli::report_error(streams, tokens.error());
  Json rows = Json::array();
  for (const Token& one : *tokens) {
    rows.push_back({{"name", one.name}, {"role", one.role}, {"made_at", one.made_at}});
    if (!parsed.flag("json")) {
      streams.out << fmt::format("{:<20} {:<9} {}\n", one.name, one.role, one.made_at);
    }
  }
  if (parsed.flag("json")) streams.out << Json{{"tokens", std::move(rows)}}.dump() << '\n';
  if (!parsed.flag("json") && tokens->empty()) streams.err << "nobody has a token\n";
  return 0;
}

int remove(const cli::Parsed& parsed, const BenchFile& bench, cli::Streams& streams) {
  const auto name = wanted_name(parsed);
  if (!name) return cli::report_error(streams, name.error());
  const auto removed = remove_token(token_file_path(bench.store), *name);
  if (!removed) return cli::report_error(streams, removed.error());
  if (!parsed.flag("json")) streams.out << *name << ": the token holds no longer\n";
  return 0;
}

int run_token(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto bench = chosen_bench(parsed);
  if (!bench) return cli::report_error(streams, bench.error());
  const std::string action = *parsed.text("ACTION");
  if (action == "add") return add(parsed, *bench, streams);
  if (action == "list") return list(parsed, *bench, streams);
  if (action == "remove") return remove(parsed, *bench, streams);
  return cli::report_error(
      streams, {Fault::usage, fmt::format("argument ACTION: \"{}\" is not known, expected add, "
                                          "list or remove",
                                          action)});
}

}  // namespace

cli::CommandSpec token_command() {
  cli::CommandSpec command;
  command.name = "token";
  command.summary = "let people in at the bench's page, or no longer";
  command.description = {
      "Where the bench file says listen, the daemon shows a page there. On this machine everybody "
      "may look at it; to change anything (mark, strike out, set amounts), or to look from another "
      "machine, a token is needed: of a viewer, who changes nothing, or of an operator. Its NAME "
      "stands in the history of what was changed with it.",
      "add prints a new token; it is shown this once, since only its digest is kept, beside the "
      "store. A running daemon knows of new and removed tokens at once. Over a net that others "
      "share, put a proxy with TLS before the page: else the token can be read on its way."};
  command.options = {bench_option(),
                     {.name = "role",
                      .value_name = "ROLE",
                      .help = "of add: viewer or operator",
                      .default_text = "viewer",
                      .complete = {cli::Hint::words, {"viewer", "operator"}}},
                     json_option()};
  command.arguments = {
      {"ACTION", "add, list or remove", 1, 1, {cli::Hint::words, {"add", "list", "remove"}}},
      {"NAME", "whose token it is", 0, 1}};
  command.examples = {{"nestcup token add tablet --role operator", "for the tablet at the bench"},
                      {"nestcup token add wall", "for a screen that only shows"},
                      {"nestcup token remove tablet", "it was lost"}};
  command.exit_notes = {{64, "no such action, name or role"},
                        {65, "the file beside the store is none of tokens"},
                        {66, "nobody of that name has a token"},
                        {73, "somebody of that name has a token already"}};
  command.run = run_token;
  return command;
}

}  // namespace nestcup
