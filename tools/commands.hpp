// All commands of `nestcup`, one file each.
#pragma once

#include "tools/cli/command.hpp"

namespace nestcup {

[[nodiscard]] cli::CommandSpec accepted_command();
[[nodiscard]] cli::CommandSpec amount_command();
[[nodiscard]] cli::CommandSpec assign_command();
[[nodiscard]] cli::CommandSpec backup_command();
[[nodiscard]] cli::CommandSpec calibrate_command();
[[nodiscard]] cli::CommandSpec capture_command();
[[nodiscard]] cli::CommandSpec convert_command();
[[nodiscard]] cli::CommandSpec database_command();
[[nodiscard]] cli::CommandSpec demo_command();
[[nodiscard]] cli::CommandSpec doctor_command();
[[nodiscard]] cli::CommandSpec export_command();
[[nodiscard]] cli::CommandSpec finish_command();
[[nodiscard]] cli::CommandSpec forecast_command();
[[nodiscard]] cli::CommandSpec import_command();
[[nodiscard]] cli::CommandSpec mark_command();
[[nodiscard]] cli::CommandSpec next_command();
[[nodiscard]] cli::CommandSpec pack_command();
[[nodiscard]] cli::CommandSpec pool_command();
[[nodiscard]] cli::CommandSpec ports_command();
[[nodiscard]] cli::CommandSpec recompute_command();
[[nodiscard]] cli::CommandSpec replay_command();
[[nodiscard]] cli::CommandSpec report_command();
[[nodiscard]] cli::CommandSpec restore_command();
[[nodiscard]] cli::CommandSpec results_command();
[[nodiscard]] cli::CommandSpec runs_command();
[[nodiscard]] cli::CommandSpec sheet_command();
[[nodiscard]] cli::CommandSpec show_command();
[[nodiscard]] cli::CommandSpec status_command();
[[nodiscard]] cli::CommandSpec strike_command();
[[nodiscard]] cli::CommandSpec sync_command();
[[nodiscard]] cli::CommandSpec token_command();
[[nodiscard]] cli::CommandSpec verify_command();
[[nodiscard]] cli::CommandSpec watch_command();

/// The program with all of them.
[[nodiscard]] cli::ProgramSpec nestcup_program();

}  // namespace nestcup
