// Where a command finds the bench: its file, store and control socket.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/notebook/postgres/runs.hpp"
#include "core/sheet/bench_file.hpp"
#include "core/sheet/sheet.hpp"
#include "core/store/store.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/parsed.hpp"

namespace nestcup {

/// --bench FILE, for commands that talk to the daemon.
[[nodiscard]] cli::OptionSpec bench_option();
/// --bench FILE and --store DB, for commands that read the store.
[[nodiscard]] std::vector<cli::OptionSpec> store_options();
/// --json.
[[nodiscard]] cli::OptionSpec json_option();

/// The bench that the options name; without them `bench.toml` in this folder.
/// @errors no_input, bad_configuration: the first problem of the file
[[nodiscard]] Result<BenchFile> chosen_bench(const cli::Parsed& parsed);

/// --bench, --store and --from PLACE, for commands that read any book of runs.
[[nodiscard]] std::vector<cli::OptionSpec> book_options();
/// The same with the options that say which runs of a database are meant.
[[nodiscard]] std::vector<cli::OptionSpec> book_and_choice_options();
/// --from PLACE, and those options, alone.
[[nodiscard]] cli::OptionSpec from_option();
[[nodiscard]] std::vector<cli::OptionSpec> choice_options();

/// The store that --store names, or the bench's, opened for reading.
/// @errors usage: both options; else as chosen_bench and Store::open
[[nodiscard]] Result<Store> chosen_store(const cli::Parsed& parsed);

/// Whether one of book_options was given.
[[nodiscard]] bool names_book(const cli::Parsed& parsed);

/// The database that --from names; nothing where it names none.
[[nodiscard]] std::optional<std::string> chosen_database(const cli::Parsed& parsed);

/// What the options of book_and_choice_options say.
/// @errors usage: a number or a time that is none, or --from is no database
[[nodiscard]] Result<RunChoice> run_choice(const cli::Parsed& parsed);

/// What --bench, --store or --from names, opened for reading.
/// @param choice  of a database alone
/// @errors usage: two of the options; else as chosen_bench, Store::open and PostgresBook::open
[[nodiscard]] Result<std::unique_ptr<RunBook>> chosen_book(const cli::Parsed& parsed,
                                                           const RunChoice& choice = {});

/// A store, or a database by its address.
[[nodiscard]] Result<std::unique_ptr<RunBook>> book_from(const std::string& place,
                                                         const RunChoice& choice);

/// The path of the store that book_options name.
/// @errors usage: two of them, or a database; as chosen_bench
[[nodiscard]] Result<std::string> chosen_book_path(const cli::Parsed& parsed);

/// --sheet FILE, for commands that take the bench's sheet without it.
[[nodiscard]] cli::OptionSpec sheet_option();

/// The sheet that --sheet names, or the bench's; nothing where neither is there.
/// @errors the first problem of the sheet; as chosen_bench
[[nodiscard]] Result<std::optional<Sheet>> chosen_sheet(const cli::Parsed& parsed);

/// The path behind chosen_store.
[[nodiscard]] Result<std::string> chosen_store_path(const cli::Parsed& parsed);

}  // namespace nestcup
