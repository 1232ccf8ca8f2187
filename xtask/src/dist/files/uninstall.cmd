@echo off
rem Removes what install.cmd copied. Your kit, and presets that you have changed or made, stay.
setlocal
set "OWN=%LOCALAPPDATA%\Programs\Firstjack"
set "PLUGINS=%LOCALAPPDATA%\Programs\Common"
if not exist "%OWN%\firstjack.exe" goto nothing
rem "del" says of no file that it is in use; the program goes last, so that this can be run again.
for %%F in ("%PLUGINS%\CLAP\Firstjack.clap" "%PLUGINS%\VST3\Firstjack.vst3\Contents\x86_64-win\Firstjack.vst3" "%OWN%\firstjack.exe") do (
    if exist %%F del %%F
    if exist %%F goto inuse
)
rmdir "%PLUGINS%\VST3\Firstjack.vst3\Contents\x86_64-win" 2>nul
rmdir "%PLUGINS%\VST3\Firstjack.vst3\Contents" 2>nul
rmdir "%PLUGINS%\VST3\Firstjack.vst3" 2>nul
for %%F in (@PRESETS@) do (
    call :compare %%F
    if not errorlevel 1 del "%OWN%\presets\%%F" 2>nul
    del "%OWN%\shipped\%%F" 2>nul
)
rmdir "%OWN%\shipped" 2>nul
rmdir "%OWN%\presets" 2>nul
del "%OWN%\guide.html" "%OWN%\README.txt" "%OWN%\CHANGELOG.md" "%OWN%\LICENSE" "%OWN%\LICENCES.txt"
echo Firstjack is uninstalled. Your kit, and presets that you have changed or made, are where they were.
if not defined FIRSTJACK_QUIET pause
rem Last of all this file itself: nothing is read of it any more behind this line.
(del "%~f0" & rmdir "%OWN%" 2>nul & exit /b 0)

:nothing
echo uninstall: nothing is installed in %OWN%. Nothing was removed. 1>&2
if not defined FIRSTJACK_QUIET pause
exit /b 1
:inuse
echo uninstall: a file is in use. Close your workstation and Firstjack, and try again. 1>&2
if not defined FIRSTJACK_QUIET pause
exit /b 1

:compare
if not exist "%OWN%\presets\%1" exit /b 0
for %%X in ("%OWN%\presets\%1") do set "NOW=%%~zX %%~tX"
set "THEN=none"
for %%X in ("%OWN%\shipped\%1") do set "THEN=%%~zX %%~tX"
if "%NOW%"=="%THEN%" exit /b 0
exit /b 1
