"""What a shell offers for a word that was begun, asked of the shell itself with the completions
that are installed where it looks for them. SHELLS[name](line) is the command to run; what it prints
has what is offered."""

BASH = """
. /usr/share/bash-completion/bash_completion
COMP_LINE=$1 COMP_POINT=${#1}
read -r -a COMP_WORDS <<<"$1"
COMP_CWORD=$((${#COMP_WORDS[@]} - 1))
_completion_loader "${COMP_WORDS[0]}" || true
function=$(complete -p "${COMP_WORDS[0]}" | sed -n 's/.*-F \\([^ ]*\\).*/\\1/p')
[ -n "$function" ] || { echo "no completion for ${COMP_WORDS[0]}"; exit 1; }
"$function" "${COMP_WORDS[0]}" "${COMP_WORDS[COMP_CWORD]}" "${COMP_WORDS[COMP_CWORD-1]}"
printf '%s\\n' "${COMPREPLY[@]}"
"""

# An interactive zsh on a terminal of its own: the line is typed, then Tab.
ZSH = """
zmodload zsh/zpty
zpty shell env PS1=READY TERM=dumb zsh -f -i
zpty -w shell 'autoload -U compinit; compinit -u -D; unsetopt beep'
sleep 2
zpty -w -n shell "$1"$'\\t'
sleep 2
while zpty -r -t shell part; do print -rn -- $part; done
"""

FISH = "complete --do-complete $argv[1]"

SHELLS = {
    "bash": lambda line: ["bash", "--norc", "-c", BASH, "bash", line],
    "zsh": lambda line: ["zsh", "-f", "-c", ZSH, "zsh", line],
    "fish": lambda line: ["fish", "--command", FISH, line],
}
