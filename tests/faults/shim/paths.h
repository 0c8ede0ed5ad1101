/* What a descriptor or a path stands for, without symbolic links and without any allocation.
 * All texts have room for FAULT_PATH_SIZE bytes. None of these changes errno. */
#pragma once
#include "settings.h"

#pragma GCC visibility push(hidden)

/* The path of an open file as the kernel knows it ("socket:[123]" of a socket). */
void fault_path_of(int descriptor, char* text);

/* The path that a call will make or change: its folder is resolved, its last name is not.
 * @param folder where relative paths begin; AT_FDCWD for the working folder */
void fault_path_at(int folder, const char* path, char* text);

/* The same for a setting, whose last name is resolved, too, where there is such a file. A '/' at
 * the end stays. */
void fault_resolve_prefix(const char* path, char* text);

/* Of fault_socket; 0 where the descriptor is none of these. */
int fault_socket_of(int descriptor);

/* Whether the path begins with one of the prefixes, or is the folder that one means. */
int fault_is_under(const struct fault_settings* settings, const char* path);

#pragma GCC visibility pop
