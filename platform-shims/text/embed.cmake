# cmake -DINPUT=file -DOUTPUT=file.cc -DNAME=kName -P embed.cmake
# Writes a file's bytes as a C++ array, so that the program carries them and finds no file missing at a pool.
file(READ ${INPUT} hex HEX)
string(LENGTH "${hex}" digits)
math(EXPR size "${digits} / 2")
string(REGEX REPLACE "([0-9a-f][0-9a-f])" "'\\\\x\\1'," bytes "${hex}")
# Lines of a bearable length; the CMake regular expressions have no counted repetition.
set(four "('[^,]*',)('[^,]*',)('[^,]*',)('[^,]*',)")
string(REGEX REPLACE "${four}" "\\1\\2\\3\\4\n" bytes "${bytes}")
file(WRITE ${OUTPUT}.new
"// Generated from ${NAME}'s source file at build time.
namespace wrackline::text {
extern const char ${NAME}[];
extern const unsigned long ${NAME}Size;
const char ${NAME}[] = {
${bytes}
};
const unsigned long ${NAME}Size = ${size};
}  // namespace wrackline::text
")
file(RENAME ${OUTPUT}.new ${OUTPUT})
