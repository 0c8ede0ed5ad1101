// Where a command finds the bench: its file, store and control socket.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
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

/// The store that --store names, or the bench's, opened for reading.
/// @errors usage: both options; else as chosen_bench and Store::open
[[nodiscard]] Result<Store> chosen_store(const cli::Parsed& parsed);

/// --sheet FILE, for commands that take the bench's sheet without it.
[[nodiscard]] cli::OptionSpec sheet_option();

/// The sheet that --sheet names, or the bench's; nothing where neither is there.
/// @errors the first problem of the sheet; as chosen_bench
[[nodiscard]] Result<std::optional<Sheet>> chosen_sheet(const cli::Parsed& parsed);

/// The path behind chosen_store.
[[nodiscard]] Result<std::string> chosen_store_path(const cli::Parsed& parsed);

}  // namespace nestcup
