/* What Rust's standard library asks Windows for its random numbers with, and wine 8 has not. For tests: it is never shipped. */
#include <windows.h>

BOOLEAN WINAPI SystemFunction036(void *bytes, ULONG count); /* RtlGenRandom */

__declspec(dllexport) BOOL WINAPI ProcessPrng(BYTE *bytes, SIZE_T count)
{
    while (count > 0) {
        ULONG some = count < 65536 ? (ULONG)count : 65536;
        if (!SystemFunction036(bytes, some))
            return FALSE;
        bytes += some;
        count -= some;
    }
    return TRUE;
}
