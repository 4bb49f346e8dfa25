# The day of a release is that of its last commit, so that two builds of it are the same: `source_date`, in seconds since 1970,
# and what string(TIMESTAMP) goes by.
if(DEFINED ENV{SOURCE_DATE_EPOCH})
  set(source_date $ENV{SOURCE_DATE_EPOCH})
else()
  execute_process(COMMAND git log -1 --format=%ct WORKING_DIRECTORY ${PROJECT_SOURCE_DIR}
    OUTPUT_VARIABLE source_date OUTPUT_STRIP_TRAILING_WHITESPACE RESULT_VARIABLE failed ERROR_QUIET)
  if(failed)
    message(FATAL_ERROR "Making packages: of which day is this release? There is no commit here; set SOURCE_DATE_EPOCH and configure again.")
  endif()
endif()
set(ENV{SOURCE_DATE_EPOCH} ${source_date})
