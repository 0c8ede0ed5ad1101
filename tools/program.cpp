#include "core/base/version.hpp"
#include "tools/commands.hpp"

namespace nestcup {

cli::ProgramSpec nestcup_program() {
  cli::ProgramSpec program;
  program.name = "nestcup";
  program.version = version_text;
  program.summary = "coffee-cup calorimetry, from the port to the finished run record";
  program.description = {
      "Works with the daemon nestcupd and with the store it leaves: shows how a bench fares, lists "
      "and prints runs, exports and replays traces. Acids, bases, hot water and hydrogen can hurt: "
      "wear eye protection, keep flames away, and follow the local rules and the responsible "
      "teacher."};
  program.commands = {
      demo_command(),     status_command(),   watch_command(),   runs_command(),
      show_command(),     export_command(),   replay_command(),  mark_command(),
      finish_command(),   next_command(),     amount_command(),  strike_command(),
      restore_command(),  sync_command(),     assign_command(),  recompute_command(),
      ports_command(),    capture_command(),  convert_command(), calibrate_command(),
      sheet_command(),    forecast_command(), results_command(), report_command(),
      pool_command(),     pack_command(),     verify_command(),  import_command(),
      database_command(), backup_command(),   doctor_command(),  accepted_command(),
      token_command()};
  return program;
}

}  // namespace nestcup
